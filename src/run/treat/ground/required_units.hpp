// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/units.hpp"

#include <cstdint>
#include <map>
#include <utility>
#include <vector>

namespace fuelring {

/// A cell of which a part is treated.
struct CellPart {
    std::int64_t row = 0;
    std::int64_t col = 0;
    std::uint8_t hundredths = 0;
};
void sort_by_place(std::vector<CellPart>& parts); ///< by row, then column

/// A cell of an area that has to be treated.
struct RequiredCell {
    std::pair<std::uint32_t, plan::ZoneId> unit; ///< area and zone
    CellPart part;
    std::int64_t conifer;   ///< of the part, conifer_unit_m2
    std::int64_t points;    ///< that treating the part removes, points_unit
    std::int64_t cell_area; ///< of the whole cell, 1e-5 m2
};

/// What has to be treated in one area and one zone: a unit without bridges, of one patch or more.
struct RequiredUnit {
    std::uint32_t area = 0;
    plan::Unit unit;             ///< costs are not set
    std::vector<CellPart> parts; ///< its cells, by row and column
};

/// Joins cells to a unit for each area and zone.
class RequiredUnits {
public:
    /// Each cell of an area once.
    void add(const std::vector<RequiredCell>& cells);
    /// By area, then zone; numbered from 1 in Unit::required. Law: the same for any order of
    /// adding.
    std::vector<RequiredUnit> take();

private:
    std::map<std::pair<std::uint32_t, plan::ZoneId>, RequiredUnit> units_;
};

} // namespace fuelring
