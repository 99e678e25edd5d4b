// SPDX-License-Identifier: Apache-2.0

// What compares figures is in gate_table.cpp; here is how they come about, and what has none: a
// good raster of the same town lies on the grid of the last one, as far as rings reach.
#include "run/gate/gate_rules.hpp"

#include "io/georeference/geotransform.hpp"
#include "run/gate/gate_table.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string_view>

namespace fuelring {

namespace {

constexpr double same_cells = 0.01; ///< corners apart by so many cells are the same place
constexpr double least_move_m = 0.2;
constexpr double alike_m = 0.05;
constexpr double elsewhere_m = 20;            ///< no house is redrawn by so much
constexpr double metres_per_degree = 111'195; ///< of a sphere of 6,371 km; good to half a per cent

double width_of(const SeenGrid& g)
{
    return std::hypot(g.geotransform[1], g.geotransform[4]);
}

double height_of(const SeenGrid& g)
{
    return std::hypot(g.geotransform[2], g.geotransform[5]);
}

/// "300 x 300 cells from 600000, 5600300".
std::string extent_of(const SeenGrid& g)
{
    return fmt::format("{} x {} cells from {:.10g}, {:.10g}", g.cols, g.rows, g.geotransform[0],
                       g.geotransform[3]);
}

double median(std::vector<double> values)
{
    if (values.empty())
        return 0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

struct Move {
    double east_m;
    double north_m;
};

Move move_of(const SeenStructure& s)
{
    const double north = (s.now->lat_deg - s.lat_deg) * metres_per_degree;
    const double east = (s.now->lon_deg - s.lon_deg) * metres_per_degree *
                        std::cos(s.lat_deg * std::numbers::pi / 180);
    return {east, north};
}

GateReason raster_reason(const char* key, std::string text)
{
    return {GateKind::raster, key, std::move(text)};
}

/// Columns and rows of `grid` from its corner to that of `other`, which has the same cells.
Point cells_to(const SeenGrid& grid, const SeenGrid& other)
{
    return cell_of(grid.geotransform, {other.geotransform[0], other.geotransform[3]});
}

} // namespace

GateReasons compare_grids(const SeenGrid& before, const SeenGrid& now)
{
    if (!now.crs.same_as(before.crs))
        return {raster_reason(
            "crs", fmt::format("the fuel raster was in {} in the last run, and is in {} now",
                               before.crs.name(), now.crs.name()))};
    const auto cells =
        static_cast<double>(std::max({before.cols, before.rows, now.cols, now.rows}));
    const double near = same_cells * std::min(width_of(before), height_of(before));
    const auto apart = [near](double a, double b) { return !(std::abs(a - b) <= near); };
    const auto& b = before.geotransform;
    const auto& n = now.geotransform;
    if (apart(width_of(before) * cells, width_of(now) * cells) ||
        apart(height_of(before) * cells, height_of(now) * cells))
        return {raster_reason(
            "cell_size",
            fmt::format("the fuel raster had cells of {:.10g} x {:.10g} in the last run, "
                        "and has cells of {:.10g} x {:.10g} now",
                        width_of(before), height_of(before), width_of(now), height_of(now)))};
    for (const std::size_t k : {1U, 2U, 4U, 5U})
        if (apart(b[k] * cells, n[k] * cells))
            return {raster_reason("direction", "rows or columns of the fuel raster run in another "
                                               "direction than those of the last run's")};
    const Point corner = cells_to(now, before);
    const bool same_size = before.cols == now.cols && before.rows == now.rows;
    const auto off = [&](double cells_off) {
        return !(std::abs(same_size ? cells_off : cells_off - std::round(cells_off)) <= same_cells);
    };
    if (off(corner.x) || off(corner.y))
        return {raster_reason("shifted",
                              fmt::format("the fuel raster is shifted by {:.10g}, {:.10g} (x, y) "
                                          "against that of the last run",
                                          n[0] - b[0], n[3] - b[3]))};
    return {};
}

GateReasons compare_extents(const SeenGrid& before, const SeenGrid& now,
                            const std::function<bool(const CellRect&, const CellRect&)>& differ)
{
    if (before.cols == now.cols && before.rows == now.rows)
        return {};
    const Point corner = cells_to(now, before);
    const CellRect was{std::llround(corner.x), std::llround(corner.y), before.cols, before.rows};
    if (!differ(was, {0, 0, now.cols, now.rows}))
        return {};
    return {raster_reason(
        "extent",
        fmt::format("the fuel raster covered {} in the last run, and covers {} now, which "
                    "rings reach",
                    extent_of(before), extent_of(now)))};
}

StructuresMove move_of(const std::vector<SeenStructure>& sample)
{
    std::vector<double> east, north;
    for (const SeenStructure& s : sample)
        if (s.now) {
            const Move m = move_of(s);
            east.push_back(m.east_m);
            north.push_back(m.north_m);
        }
    StructuresMove move;
    if (sample.empty())
        return move;
    move.vanished_percent =
        100 - 100 * static_cast<double>(east.size()) / static_cast<double>(sample.size());
    move.east_m = median(east);
    move.north_m = median(north);
    std::size_t alike = 0, elsewhere = 0;
    for (std::size_t i = 0; i < east.size(); ++i) {
        alike += std::hypot(east[i] - move.east_m, north[i] - move.north_m) <= alike_m ? 1 : 0;
        elsewhere += std::hypot(east[i], north[i]) >= elsewhere_m ? 1 : 0;
    }
    if (!east.empty()) {
        const double percent = 100 / static_cast<double>(east.size());
        move.moved_alike_percent = percent * static_cast<double>(alike);
        move.elsewhere_percent = percent * static_cast<double>(elsewhere);
    }
    return move;
}

namespace {

/// Rounded to a tenth, and no zero has a sign.
double tenths(double v)
{
    return std::round(10 * v) / 10 + 0.0;
}

} // namespace

GateReasons compare_structures(std::int64_t before, std::int64_t now, const StructuresMove& move,
                               const GateSettings& settings)
{
    GateReasons reasons = judge(gate_rule("structures"), static_cast<double>(before),
                                static_cast<double>(now), settings);
    GateReasons ids = judge(gate_rule("ids"), 0, move.vanished_percent, settings);
    if (!holds(ids) && std::hypot(move.east_m, move.north_m) >= least_move_m)
        add(ids,
            judge(gate_rule("structures_shifted"), 0, move.moved_alike_percent, settings,
                  fmt::format("the structures are shifted by {:.1f} m to the east and {:.1f} m "
                              "to the north against those of the last run",
                              tenths(move.east_m), tenths(move.north_m))));
    if (!holds(ids))
        add(ids, judge(gate_rule("ids_elsewhere"), 0, move.elsewhere_percent, settings));
    add(reasons, ids);
    return reasons;
}

std::vector<SeenGround> ground_of(const std::vector<MeasuredStructure>& measures,
                                  const RingPlan& plan)
{
    std::vector<SeenGround> ground;
    for (std::size_t k = 0; k < plan.outer_m.size(); ++k) {
        SeenGround sum{plan.outer_m[k]};
        for (const MeasuredStructure& m : measures) {
            const RingArea within = within_distance(m, k);
            sum.ground_m2 += within.ring_m2;
            sum.mapped_m2 += within.mapped_m2;
            sum.conifer_m2 += within.conifer_m2;
        }
        ground.push_back(sum);
    }
    return ground;
}

GateReasons compare_ground(const SeenGround& before, const SeenGround& now, bool is_widest,
                           const GateSettings& settings)
{
    const auto judged = [&](const char* key, double percent_before, double percent) {
        const GateRule& rule = gate_rule(key);
        return judge(rule, percent_before, percent, settings,
                     fmt::format(fmt::runtime(rule.words), now.within_m));
    };
    GateReasons reasons = judged("mapped_share", before.mapped_percent(), now.mapped_percent());
    if (!(before.mapped_m2 > 0 && now.mapped_m2 > 0))
        return reasons;
    GateReasons conifers;
    for (const char* key : {"conifer_share", "conifers_gone", "conifers_changed"}) {
        if (key == std::string_view{"conifers_gone"} && !is_widest)
            continue;
        GateReasons more = judged(key, before.conifer_percent(), now.conifer_percent());
        if (conifers.empty() || (holds(more) && !holds(conifers)))
            conifers = std::move(more);
    }
    add(reasons, conifers);
    return reasons;
}

GateReasons require_mapped(const SeenGround& ground)
{
    if (ground.mapped_m2 > 0)
        return {};
    return {{GateKind::ground, "unmapped",
             fmt::format("no ground within {:g} m of any structure is mapped: the fuel raster is "
                         "nodata there, or its classes are unmapped",
                         ground.within_m)}};
}

namespace {

bool is_new(const std::vector<std::int64_t>& before, const SeenCode& code)
{
    return code.cells > 0 && std::find(before.begin(), before.end(), code.code) == before.end();
}

} // namespace

double new_codes_percent(const std::vector<std::int64_t>& before, const std::vector<SeenCode>& now,
                         std::int64_t cells_reached)
{
    std::int64_t cells = 0;
    for (const SeenCode& code : now)
        if (is_new(before, code))
            cells += code.cells;
    return cells_reached > 0 ? 100 * static_cast<double>(cells) / static_cast<double>(cells_reached)
                             : 0;
}

GateReasons compare_codes(const std::vector<std::int64_t>& before, const std::vector<SeenCode>& now,
                          std::int64_t cells_reached, const GateSettings& settings)
{
    std::vector<std::string> names;
    for (const SeenCode& code : now)
        if (is_new(before, code))
            names.push_back(fmt::format("{} {}", code.code, code.label));
    const GateRule& rule = gate_rule("new_codes");
    const double percent = new_codes_percent(before, now, cells_reached);
    return judge(rule, 0, percent, settings,
                 fmt::format(fmt::runtime(rule.words), fmt::format("{:.4g}", percent)) +
                     fmt::format(": {}", fmt::join(names, ", ")));
}

} // namespace fuelring
