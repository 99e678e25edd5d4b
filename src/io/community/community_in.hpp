// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/faults.hpp"
#include "base/sources.hpp"
#include "base/warnings.hpp"
#include "exposure/community.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"
#include "io/vector/vector_layer.hpp"

#include <array>
#include <optional>
#include <set>
#include <string>
#include <vector>

namespace fuelring {

/// Structures that are not there any more, whatever the footprints say.
struct GoneStructures {
    std::set<std::string> ids;
    std::set<std::string> met{}; ///< of them, those that the footprints have
    std::int64_t addresses = 0;  ///< that join one of those, and go with it
};

/// What the vector inputs of a run are.
struct CommunitySources {
    StructureSource structures;
    std::optional<AddressSource> addresses{};
    std::optional<NeighbourhoodSource> neighbourhoods{};
    std::optional<ParcelSource> parcels{};
    GoneStructures* gone = nullptr; ///< where some are to be left out
};

/// Where the structures stand, by the boxes of their features, before any is read into a grid.
class StructureBoxes {
public:
    /// Reads the layer once, but no more of a feature than its box. Those outside source.area, by
    /// the middle of the box, are left out.
    /// Throws: Error{input}: not readable, no CRS.
    explicit StructureBoxes(const StructureSource& source);

    /// The degrees of those that meet the box `raster` of `crs` (within a kilometre: datums are
    /// taken as one); of all where none does. The whole earth where they are no places.
    GeoArea area(const Crs& crs, const Box& raster) const;
    /// The box, in `crs`, of those that meet the box `raster`: the study area.
    /// Throws: Error{input}: all off the raster.
    Box on_raster(const Crs& crs, const Box& raster, const GeoArea& area) const;

    /// The box of each in `crs`; those without a place there are left out.
    std::vector<Box> boxes_in(const Crs& crs, const std::optional<GeoArea>& area) const;

private:
    VectorLayer layer_;
    using Corners = std::array<Point, 4>;
    std::vector<Corners> boxes_; ///< in the CRS of the layer
};

/// Reads footprints, addresses and neighbourhoods into the analysis CRS and the grid's frames, in
/// metres of the ground: min_area_m2 and join_within_m are the ground's, too.
/// Multi-part footprints are united, crossings repaired by linework (GEOS make_valid) and flagged,
/// empty ones and those below min_area_m2 left out and counted in `warnings`. Addresses join the
/// footprint that holds them, else the nearest within join_within_m; those that join nothing are
/// all listed in a warning. A structure belongs to the neighbourhood with most of its footprint.
/// Structures that are `gone`, and the addresses that join them, are left out as if the files did
/// not have them.
/// Structures outside structures.area, by a point on the footprint, and addresses that join them
/// are left out and counted, too. Keys of `warnings`: outside_area, empty_outlines, below_min_area,
/// repaired_outlines, duplicate_outlines, parts_not_polygons, structures_off_raster,
/// structures_far_off, addresses_without_point, addresses_not_joined, repaired_neighbourhoods,
/// empty_parcels, repaired_parcels, parcels_without_owner, parcels_overlap_slightly,
/// no_private_parcels. Throws: Error{input} naming file, layer, feature: not readable, no such
/// layer or column, lines or points where polygons are needed, no CRS, nothing left, a null or
/// repeated id, nothing on the raster, no address within 1 km of a structure, parcels that overlap,
/// more than 20 classes of owners; Faults where several layers are wrong. `layers`, where given,
/// gets one entry for each layer: which CRS it is in, whether the file or the configuration says
/// so, and by which operation it was reprojected.
Community read_community(const CommunitySources& sources, const AnalysisGrid& analysis,
                         Warnings& warnings, std::vector<LayerCrs>* layers = nullptr);

/// The same where what is wrong goes into `faults`, of all layers: those that could not be read are
/// then missing in the result.
Community read_community(const CommunitySources& sources, const AnalysisGrid& analysis,
                         Warnings& warnings, std::vector<LayerCrs>* layers, FaultList& faults);

/// Where the raster or the structures cannot be read, the layers are looked at on their own: these
/// list every one that cannot be opened, lacks a column that is named, or holds texts that cannot
/// be read.
void look_at_structures(const StructureSource& structures, FaultList& faults);
void look_at_other_layers(const CommunitySources& sources,
                          const std::optional<CorrectionSource>& corrections, FaultList& faults);

} // namespace fuelring
