// SPDX-License-Identifier: Apache-2.0

// What makes a new input suspicious. A good raster of the same town differs from yesterday's by
// what grew, was cut and was classified otherwise: a few points of the ground near homes in a year.
// A wrong file differs by its georeference, or by tens of points: another band, another legend,
// tiles that are missing. So georeferences must agree, and shares may move by a bound. A bound in
// points says little where conifers are rare: there it also counts that nearly all within the
// widest ring are gone, which no programme brings about.
#include "run/gate_rules.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fuelring {

namespace {

constexpr double same_cells = 0.01;         ///< corners apart by so many cells are the same place
constexpr double least_share_percent = 0.1; ///< conifers that can be gone
constexpr double left_of_gone = 0.1;
constexpr std::int64_t few_structures = 2; ///< so many may come or go in the smallest community
constexpr double most = 50;                ///< per cent
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

/// "rose from 12.31 % to 20.02 %, by 7.71 points", as far as it moved beyond the bound.
std::string moved(double before, double now)
{
    return fmt::format("{} from {:.4g} % to {:.4g} %, by {:.4g} points",
                       now > before ? "rose" : "fell", before, now, std::abs(now - before));
}

} // namespace

GateReasons compare_grids(const SeenGrid& before, const SeenGrid& now)
{
    if (!now.crs.same_as(before.crs))
        return {{GateReason::Input::fuel, "crs",
                 fmt::format("the fuel raster is in {}, that of the last run was in {}",
                             now.crs.name(), before.crs.name())}};
    const auto cells =
        static_cast<double>(std::max({before.cols, before.rows, now.cols, now.rows}));
    const double near = same_cells * std::min(width_of(before), height_of(before));
    const auto apart = [near](double a, double b) { return !(std::abs(a - b) <= near); };
    const auto& b = before.geotransform;
    const auto& n = now.geotransform;
    if (apart(width_of(before) * cells, width_of(now) * cells) ||
        apart(height_of(before) * cells, height_of(now) * cells))
        return {{GateReason::Input::fuel, "cell_size",
                 fmt::format("the fuel raster has cells of {:.10g} x {:.10g}, that of the last run "
                             "had cells of {:.10g} x {:.10g}",
                             width_of(now), height_of(now), width_of(before), height_of(before))}};
    for (const std::size_t k : {1U, 2U, 4U, 5U})
        if (apart(b[k] * cells, n[k] * cells))
            return {{GateReason::Input::fuel, "direction",
                     "rows or columns of the fuel raster run in another direction than those of "
                     "the last run's"}};
    if (before.cols != now.cols || before.rows != now.rows)
        return {{GateReason::Input::fuel, "extent",
                 fmt::format("the fuel raster covers {}, that of the last run covered {}",
                             extent_of(now), extent_of(before))}};
    if (apart(b[0], n[0]) || apart(b[3], n[3]))
        return {{GateReason::Input::fuel, "shifted",
                 fmt::format("the fuel raster is shifted by {:.10g}, {:.10g} (x, y) against that "
                             "of the last run",
                             n[0] - b[0], n[3] - b[3])}};
    return {};
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

GateReasons compare_structures(std::int64_t before, std::int64_t now, const StructuresMove& move,
                               const GateSettings& settings)
{
    constexpr auto input = GateReason::Input::structures;
    GateReasons reasons;
    const std::int64_t change = std::abs(now - before);
    if (100 * static_cast<double>(change) >
            settings.max_structures_change * static_cast<double>(before) &&
        change > few_structures)
        reasons.push_back(
            {input, "structures",
             fmt::format("there are {} structures, the last run had {}", now, before)});
    if (move.vanished_percent > most)
        reasons.push_back({input, "ids",
                           fmt::format("{:.4g} % of the last run's structure ids are gone",
                                       move.vanished_percent)});
    else if (move.moved_alike_percent > most &&
             std::hypot(move.east_m, move.north_m) >= least_move_m)
        reasons.push_back({input, "structures_shifted",
                           fmt::format("the structures are shifted by {:.1f} m to the east and "
                                       "{:.1f} m to the north against those of the last run",
                                       move.east_m, move.north_m)});
    else if (move.elsewhere_percent > most)
        reasons.push_back({input, "ids_elsewhere",
                           fmt::format("{:.4g} % of the last run's structure ids stand on other "
                                       "ground: they were given anew",
                                       move.elsewhere_percent)});
    return reasons;
}

std::vector<SeenGround> ground_of(const std::vector<StructureMeasure>& measures,
                                  const RingPlan& plan)
{
    std::vector<SeenGround> ground;
    for (std::size_t k = 0; k < plan.outer_m.size(); ++k) {
        SeenGround sum{plan.outer_m[k]};
        for (const StructureMeasure& m : measures) {
            const RingArea within = within_distance(m, k);
            sum.ground_m2 += within.ring_m2;
            sum.mapped_m2 += within.mapped_m2;
            sum.conifer_m2 += within.conifer_m2;
        }
        ground.push_back(sum);
    }
    return ground;
}

GateReasons compare_ground(const SeenGround& before, const SeenGround& now,
                           const GateSettings& settings)
{
    GateReasons reasons;
    const auto compare = [&](const char* key, const char* share, double percent_before,
                             double percent) {
        if (std::abs(percent - percent_before) > settings.max_change)
            reasons.push_back({GateReason::Input::ground, key,
                               fmt::format("the {} share of the ground within {:g} m of the "
                                           "structures {} (gate.max_change is {:g})",
                                           share, now.within_m, moved(percent_before, percent),
                                           settings.max_change)});
    };
    compare("mapped_share", "mapped", before.mapped_percent(), now.mapped_percent());
    if (before.mapped_m2 > 0 && now.mapped_m2 > 0)
        compare("conifer_share", "conifer", before.conifer_percent(), now.conifer_percent());
    return reasons;
}

GateReasons require_conifers(const SeenGround& before, const SeenGround& now)
{
    if (!(before.conifer_percent() >= least_share_percent && now.mapped_m2 > 0 &&
          now.conifer_percent() < left_of_gone * before.conifer_percent()))
        return {};
    return {{GateReason::Input::ground, "conifers_gone",
             fmt::format("nearly all conifers are gone: their share of the ground within {:g} m of "
                         "the structures {}",
                         now.within_m, moved(before.conifer_percent(), now.conifer_percent()))}};
}

GateReasons require_mapped(const SeenGround& ground)
{
    if (ground.mapped_m2 > 0)
        return {};
    return {{GateReason::Input::ground, "unmapped",
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
    const double percent = new_codes_percent(before, now, cells_reached);
    if (!(percent > settings.max_change))
        return {};
    std::vector<std::string> names;
    for (const SeenCode& code : now)
        if (is_new(before, code))
            names.push_back(fmt::format("{} {}", code.code, code.label));
    return {{GateReason::Input::fuel, "new_codes",
             fmt::format("{:.4g} % of the cells around the structures have codes that the last run "
                         "did not meet: {} (gate.max_change is {:g})",
                         percent, fmt::join(names, ", "), settings.max_change)}};
}

} // namespace fuelring
