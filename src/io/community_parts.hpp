// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/community_in.hpp"

namespace fuelring {

// The three parts of read_community, each in a file of its own.

/// What there is to say about the inputs, beside what was read.
struct Remarks {
    Warnings& warnings;
    std::vector<std::string>* crs_notes;

    void note_crs(const std::string& note) const
    {
        if (crs_notes)
            crs_notes->push_back(note);
    }
};

/// Footprints, sorted bytewise by id, without neighbourhoods.
std::vector<Structure> read_structures(const StructureSource& source, const Grid& grid,
                                       const Crs& crs, const Remarks& remarks);

/// Address points, each joined to a structure where one is near enough.
std::vector<Address> read_addresses(const AddressSource& source,
                                    const std::vector<Structure>& structures, const Grid& grid,
                                    const Crs& crs, const Remarks& remarks);

/// Names of neighbourhoods, sorted bytewise; sets Structure::neighbourhood.
std::vector<std::string> read_neighbourhoods(const NeighbourhoodSource& source,
                                             std::vector<Structure>& structures, const Grid& grid,
                                             const Crs& crs, const Remarks& remarks);

} // namespace fuelring
