// SPDX-License-Identifier: Apache-2.0
#include "run/treat/ground/required_units.hpp"

#include <algorithm>

namespace fuelring {

void sort_by_place(std::vector<CellPart>& parts)
{
    std::sort(parts.begin(), parts.end(), [](const CellPart& a, const CellPart& b) {
        return std::pair{a.row, a.col} < std::pair{b.row, b.col};
    });
}

void RequiredUnits::add(const std::vector<RequiredCell>& cells)
{
    for (const RequiredCell& cell : cells) {
        RequiredUnit& required = units_[cell.unit];
        required.area = cell.unit.first;
        required.parts.push_back(cell.part);
        required.unit.zone = cell.unit.second;
        required.unit.treated.push_back({cell.part.row, cell.part.col, 1});
        required.unit.conifer += cell.conifer;
        required.unit.points += cell.points;
        required.unit.cell_area += cell.cell_area;
    }
}

std::vector<RequiredUnit> RequiredUnits::take()
{
    std::vector<RequiredUnit> all;
    for (auto& [of, required] : units_) {
        plan::put_in_order(required.unit.treated);
        sort_by_place(required.parts);
        all.push_back(std::move(required));
        all.back().unit.required = static_cast<std::uint32_t>(all.size());
    }
    units_.clear();
    return all;
}

} // namespace fuelring
