// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/ownership.hpp"

#include <fuelring/footprint.hpp>
#include <fuelring/grid.hpp>
#include <fuelring/slope.hpp>
#include <fuelring/stretch.hpp>

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// One structure as read: united, repaired, in its local frame.
/// Law: `footprint` keeps its law (footprint.hpp), and the frame's cell holds the corner of least x
/// and y of its box in the analysis CRS, so the frame depends on the structure alone.
struct Structure {
    std::string id;
    Footprint footprint; ///< metres of `frame`
    CellFrame frame;
    LocalScale map_scale;    ///< where it stands; its frame is that of Grid::at_scale(map_scale)
    RingStretch stretch;     ///< of its rings beyond the innermost; round on level ground
    double footprint_m2 = 0; ///< of the ground
    Point inside;            ///< a point on the footprint, analysis CRS
    double lon_deg = 0;      ///< WGS 84, of `inside`
    double lat_deg = 0;
    std::optional<std::uint32_t> neighbourhood; ///< index into Community::neighbourhoods
    std::vector<std::string> attributes;        ///< of the columns asked for; empty text where null
    bool home = true;                           ///< where inputs.structures.homes says which are
    std::optional<double> people;               ///< that live there; empty where nobody says
    bool repaired_outline = false;
    bool duplicate_outline = false; ///< the same outline as an earlier or later structure
};

/// One address point; several may belong to one structure.
struct Address {
    std::string text;                       ///< as printed
    Point at;                               ///< analysis CRS
    std::optional<std::uint32_t> structure; ///< index into Community::structures
};

/// What the elevation raster says of the ground around one structure.
struct Terrain {
    std::optional<LocalSlope> slope; ///< empty: too few heights around the structure
    /// Where the ground falls, clockwise from the north of the analysis grid, 0 to 360; empty on
    /// flat ground.
    std::optional<double> aspect_deg;
    std::optional<double> slope_break_m; ///< from the uphill wall; slope_break_m of slope.hpp
};

/// Everything that a run works on beside its rasters. Structures stand in bytewise order of their
/// id.
struct Community {
    std::vector<Structure> structures;
    std::vector<Terrain> terrain;       ///< by structure; empty without an elevation raster
    bool tells_homes = false;           ///< inputs.structures.homes says which structures are homes
    bool tells_people = false;          ///< inputs.structures.people says how many live in them
    std::vector<double> susceptibility; ///< multiplier by structure; empty where none is configured
    std::vector<Address> addresses;     ///< in the order of the file
    std::vector<std::string> neighbourhoods; ///< names, sorted bytewise
    /// What each covers, in units of the grid from the corner of cell (0, 0).
    std::vector<Footprint> neighbourhood_areas;
    std::optional<Ownership> owners; ///< where there is a parcel layer
};

/// Where the structure of that id stands; empty where there is none.
inline std::optional<std::size_t> index_of_structure(const Community& community,
                                                     const std::string& id)
{
    const auto& all = community.structures;
    const auto at =
        std::lower_bound(all.begin(), all.end(), id,
                         [](const Structure& s, const std::string& i) { return s.id < i; });
    return at != all.end() && at->id == id
               ? std::optional{static_cast<std::size_t>(at - all.begin())}
               : std::nullopt;
}

} // namespace fuelring
