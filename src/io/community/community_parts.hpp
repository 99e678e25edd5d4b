// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/community/community_findings.hpp"
#include "io/community/community_in.hpp"
#include "io/vector/placed_layer.hpp"

#include <fuelring/error.hpp>

#include <functional>
#include <string>

namespace fuelring {

// The parts of read_community, each in a file of its own.

/// What there is to say about the inputs, beside what was read.
struct Remarks {
    Warnings& warnings;
    std::vector<LayerCrs>* layers;

    void note_crs(const PlacedLayer& layer) const
    {
        if (layers)
            layers->push_back(layer.layer_crs());
    }
};

/// "x 600000 to 600300, y ...", to four decimals where these are degrees.
std::string in_words(const Box& box);

/// Reads a layer as a step of `faults`, unless it is remote and something has failed already: a
/// server that fell silent is not waited for again. False where it was not read.
bool attempt_layer(const std::string& path, FaultList& faults, const std::function<void()>& read);

/// The complaint that nothing stands on the raster, with where both are.
Error all_off_raster(const VectorLayer& layer, std::size_t structures, const Box& everywhere,
                     const Box& raster, const Crs& crs);

/// Footprints, sorted bytewise by id, without neighbourhoods. Those outside source.area go into
/// `left_out`, first, and then those of `gone` (which may be null), of which nothing is said.
std::vector<Structure> read_structures(const StructureSource& source, const AnalysisGrid& analysis,
                                       const Remarks& remarks, GoneStructures* gone,
                                       std::vector<Structure>& left_out);

/// Fills in longitude and latitude. Throws: Error{input} for a structure where the analysis CRS has
/// no ground.
void set_degrees(std::vector<Structure>& structures, const VectorLayer& layer,
                 const AnalysisGrid& analysis);
/// Throws: Error{input} where an outline larger than any building has its end outside that ground.
void require_ends_on_ground(const std::vector<Structure>& structures, const VectorLayer& layer,
                            const AnalysisGrid& analysis);

/// A warning of structures that stand kilometres from all others, with their places; none where the
/// community lies in several places of like size.
void warn_of_strays(const std::vector<Structure>& structures, Warnings& warnings);

/// Address points, each joined to a structure where one is near enough. Throws: Error{input} where
/// none lies within a kilometre of any structure, with where both are. Addresses that join nothing
/// and stand outside `area` are left out and go into `outside`.
std::vector<Address> read_addresses(const AddressSource& source,
                                    const std::vector<Structure>& structures,
                                    const AnalysisGrid& analysis, const Remarks& remarks,
                                    const std::optional<AreaSource>& area, Finding& outside);

/// Sets names and areas of the neighbourhoods, and Structure::neighbourhood.
void read_neighbourhoods(const NeighbourhoodSource& source, Community& community,
                         const AnalysisGrid& analysis, const Remarks& remarks);

/// Parcels near the structures, and whose they are.
Ownership read_parcels(const ParcelSource& source, const std::vector<Structure>& structures,
                       const AnalysisGrid& analysis, const Remarks& remarks);

} // namespace fuelring
