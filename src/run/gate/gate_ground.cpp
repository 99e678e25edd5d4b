// SPDX-License-Identifier: Apache-2.0

// What the gate looks at of the fuel raster: where it lies, and once the ground is measured, shares
// of it around the structures, and codes.
#include "io/georeference/geotransform.hpp"
#include "run/gate/gate.hpp"
#include "run/schedule/tiles.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// Rectangles of the grid that the run works on as cells of the raster's file.
class CellsOfFile {
public:
    explicit CellsOfFile(const AnalysisPlan& plan) : grid_{plan.analysis.grid}, source_{plan.source}
    {
        if (plan.warped())
            to_source_.emplace(plan.analysis.crs, plan.source.crs);
    }

    /// What lies between the corners; the whole file where PROJ knows no place for one.
    CellRect of(const CellRect& rect) const
    {
        if (!to_source_)
            return rect;
        Point least{HUGE_VAL, HUGE_VAL};
        Point most{-HUGE_VAL, -HUGE_VAL};
        for (const std::int64_t col : {rect.col, rect.col + rect.cols})
            for (const std::int64_t row : {rect.row, rect.row + rect.rows}) {
                const Point p = source_cell(grid_.corner(col, row));
                if (!std::isfinite(p.x) || !std::isfinite(p.y))
                    return {0, 0, source_.cols, source_.rows};
                least = {std::min(least.x, p.x), std::min(least.y, p.y)};
                most = {std::max(most.x, p.x), std::max(most.y, p.y)};
            }
        const auto col = static_cast<std::int64_t>(std::floor(least.x));
        const auto row = static_cast<std::int64_t>(std::floor(least.y));
        return {col, row, static_cast<std::int64_t>(std::ceil(most.x)) - col,
                static_cast<std::int64_t>(std::ceil(most.y)) - row};
    }

private:
    /// Column and row as real numbers; not finite where PROJ knows no place.
    Point source_cell(Point p) const
    {
        if (!to_source_->apply(p))
            return {HUGE_VAL, HUGE_VAL};
        return cell_of(source_.geotransform, p);
    }

    const Grid& grid_;
    const SourceGrid& source_;
    std::optional<Reprojection> to_source_;
};

/// True where some structure's widest ring may reach ground that one of two parts of the fuel
/// raster (as its file has it) covers and the other does not.
bool rings_see_difference(const Inputs& inputs, double widest_m, const CellRect& a,
                          const CellRect& b)
{
    const CellsOfFile file{inputs.raster->plan()};
    const auto& structures = inputs.community.structures;
    return std::any_of(structures.begin(), structures.end(), [&](const Structure& s) {
        const CellRect reach = file.of(reach_of(s, inputs.raster->grid(), widest_m));
        const CellRect in_a = intersection(reach, a);
        const CellRect in_b = intersection(reach, b);
        // Empty parts of different place are the same: neither is seen.
        return in_a.empty() ? !in_b.empty() : !(in_a == in_b);
    });
}

} // namespace

GateReasons InputGate::compare_rasters(const Inputs& inputs)
{
    const SourceGrid& source = inputs.raster->plan().source;
    const SeenGrid grid{source.crs, source.geotransform, source.cols, source.rows};
    seen_["fuel_grid"] = grid_json(grid);
    if (!last_.grid)
        return {};
    GateReasons reasons = compare_grids(*last_.grid, grid);
    if (reasons.empty())
        // A delivery may be cut otherwise from year to year; that matters only where rings look.
        reasons = compare_extents(*last_.grid, grid, [&](const CellRect& a, const CellRect& b) {
            return rings_see_difference(inputs, config_.rings.widest_m(), a, b);
        });
    return reasons;
}

void InputGate::note_ground(const SeenGround& before, const SeenGround& now)
{
    moved_["ground"].push_back({{"within_m", now.within_m},
                                {"conifer_percent_before", before.conifer_percent()},
                                {"conifer_percent", now.conifer_percent()},
                                {"mapped_percent_before", before.mapped_percent()},
                                {"mapped_percent", now.mapped_percent()}});
    words_.push_back(
        fmt::format("conifers on the land within {:g} m: {:.2f}% in the last run, {:.2f}% now",
                    now.within_m, before.conifer_percent(), now.conifer_percent()));
}

GateReasons InputGate::compare_distance(const SeenGround& now, bool is_widest)
{
    const SeenGround* before = last_.within(now.within_m);
    if (!before) {
        if (!last_.ground.empty())
            not_compared(fmt::format("the last run had no distance of {:g} m", now.within_m));
        return is_widest ? require_mapped(now) : GateReasons{};
    }
    note_ground(*before, now);
    if (is_widest && before->mapped_m2 > 0 && now.mapped_m2 <= 0)
        return require_mapped(now);
    return compare_ground(*before, now, is_widest, config_.gate);
}

void InputGate::look_at(const std::vector<MeasuredStructure>& measures)
{
    const std::vector<SeenGround> ground = ground_of(measures, config_.rings);
    seen_["ground"] = ground;
    const std::size_t near = config_.near.ring;
    GateReasons reasons;
    if (near + 1 < ground.size() && ground.back().mapped_m2 > 0)
        reasons = compare_distance(ground[near], false);
    add(reasons, compare_distance(ground.back(), true));
    judge(reasons);
}

void InputGate::look_at(const SurfaceTotals& surface, const Inputs& inputs)
{
    if (!last_.exists())
        return;
    if (last_.widest_m() != config_.rings.widest_m()) {
        if (!last_.ground.empty())
            not_compared("codes, since the widest ring is another one");
        return;
    }
    if (inputs.raster->source().holds_shares())
        return; // they have no codes
    std::vector<SeenCode> codes;
    const auto& classes = inputs.classes.rows();
    for (std::size_t i = 0; i < classes.size(); ++i)
        if (i != no_data_class)
            codes.push_back({classes[i].code, classes[i].label, surface.cells_of_class[i]});
    moved_["new_codes_percent"] = new_codes_percent(last_.codes, codes, surface.cells);
    judge(compare_codes(last_.codes, codes, surface.cells, config_.gate));
}

void InputGate::look_at(const CodeCensus& census, const Inputs& inputs)
{
    std::int64_t cells = census.nodata_cells;
    SeenGround mapped{config_.rings.widest_m()}; // in cells
    std::vector<SeenCode> codes;
    cells += census.no_shares.cells;
    for (const auto& [code, count] : census.cells_of_code) {
        cells += count;
        const auto index = inputs.classes.find(code);
        if (!index)
            continue;
        const FuelClass& fuel = inputs.classes[*index];
        codes.push_back({code, fuel.label, count});
        if (fuel.group != FuelGroup::unmapped)
            mapped.mapped_m2 += static_cast<double>(count);
    }
    judge(require_mapped(mapped));
    if (last_.exists() && last_.widest_m() == config_.rings.widest_m() &&
        !inputs.raster->source().holds_shares())
        judge(compare_codes(last_.codes, codes, cells, config_.gate));
}

} // namespace fuelring
