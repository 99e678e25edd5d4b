// SPDX-License-Identifier: Apache-2.0
#include "run/treat/ground/strip_layout.hpp"

#include <utility>

namespace fuelring {

namespace {

/// A slice that holds what there is of a unit.
plan::StripSlice slice_of(const RequiredUnit& unit, double length_m)
{
    plan::StripSlice slice{unit.unit.zone,      length_m, unit.unit.conifer, unit.unit.points,
                           unit.unit.cell_area, {}};
    for (const CellPart& part : unit.parts) // neighbours share cells: no runs of several
        slice.cells.push_back({part.row, part.col, 1});
    return slice;
}

/// Zones of a line's slices: each has that of most of its conifers; open stretches that are no
/// longer than a gap have that of both sides.
void bridge_slices(plan::StripLine& line, double gap_m)
{
    std::size_t last = line.size(); // slice with conifers
    double open_m = 0;
    for (std::size_t k = 0; k < line.size(); ++k) {
        if (line[k].zone == plan::no_zone) {
            open_m += line[k].length_m;
            continue;
        }
        if (last < k && line[last].zone == line[k].zone && open_m <= gap_m)
            for (std::size_t between = last + 1; between < k; ++between)
                line[between].zone = line[k].zone;
        last = k;
        open_m = 0;
    }
}

} // namespace

StripLayout lay_blocks(std::vector<RequiredUnit> units)
{
    StripLayout layout;
    for (RequiredUnit& unit : units) {
        layout.lines.push_back({slice_of(unit, 0)});
        layout.parts.push_back({std::move(unit.parts)});
    }
    return layout;
}

StripLayout lay_strips(const std::vector<SliceGround>& slices,
                       const std::vector<RequiredUnit>& units, double gap_m)
{
    StripLayout layout;
    if (slices.empty())
        return layout;
    const std::size_t lines = slices.back().line + 1;
    layout.lines.resize(lines);
    layout.parts.resize(lines);
    std::vector<std::size_t> place; // of a slice in its line
    for (const SliceGround& slice : slices) {
        place.push_back(layout.lines[slice.line].size());
        layout.lines[slice.line].push_back({plan::no_zone, slice.length_m});
        layout.parts[slice.line].emplace_back();
    }
    for (const RequiredUnit& unit : units) {
        const std::uint32_t line = slices[unit.area].line;
        plan::StripSlice& slice = layout.lines[line][place[unit.area]];
        if (slice.zone != plan::no_zone && slice.conifer >= unit.unit.conifer)
            continue;
        slice = slice_of(unit, slice.length_m);
        layout.parts[line][place[unit.area]] = unit.parts;
    }
    for (plan::StripLine& line : layout.lines)
        bridge_slices(line, gap_m);
    return layout;
}

} // namespace fuelring
