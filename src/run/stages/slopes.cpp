// SPDX-License-Identifier: Apache-2.0

// Slopes, structure by structure: each reads the small window of heights that it needs, in bands of
// rows where the window is large, and no figure of it depends on another. Tiles only keep
// neighbours together, so that GDAL finds most of their blocks in its cache.
#include "run/stages/slopes.hpp"

#include "io/community/community_findings.hpp"
#include "io/gdal/setup.hpp"
#include "run/cache/result_cache.hpp"
#include "run/schedule/memory.hpp"
#include "run/schedule/parallel.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fuelring {

namespace {

constexpr std::int64_t most_cells_at_once = 1 << 21;
constexpr double most_steps_at_once = 64; ///< of the way uphill
constexpr double widest_at_once = 256;    ///< cells along the way, where steps pass over some
/// Heights that differ from the plane by more than this part of the distance they are taken from
/// make the ground uneven: a cliff, a quarry, a house on a ridge. A planning default; it only
/// warns.
constexpr double uneven_part = 0.1;

class SlopeTask {
public:
    SlopeTask(const Inputs& inputs, const RingPlan& plan)
        : grid_{inputs.raster->grid()}, extent_{inputs.elevation->extent()},
          within_m_{slope_within_m(plan)}, reach_m_{plan.widest_m()}, reader_{*inputs.elevation}
    {}

    SlopeFinding run(const Structure& s)
    {
        SlopeFinding found;
        const Grid ground = grid_.at_scale(s.map_scale);
        const Box box = bounds(s.footprint);
        const Point half = 0.5 * (box.max - box.min);
        const auto lattice = reader_.lattice_at(ground, s.frame, box.min + half,
                                                std::max(half.x, half.y) + within_m_);
        reader_.met_impossible();
        if (lattice)
            found.terrain.slope = slope_of(s, *lattice, found.off_raster);
        else
            found.off_raster = true;
        if (found.terrain.slope && !found.terrain.slope->is_flat()) {
            found.terrain.aspect_deg = aspect_deg(ground, found.terrain.slope->downhill);
            found.terrain.slope_break_m = break_of(s, *lattice, *found.terrain.slope);
        }
        found.impossible = reader_.met_impossible();
        return found;
    }

private:
    std::optional<LocalSlope> slope_of(const Structure& s, const HeightLattice& lattice,
                                       bool& off_raster)
    {
        SlopeFit fit{s.footprint, lattice, within_m_};
        const CellRect rect = intersection(fit.cells(), extent_);
        off_raster = rect.empty();
        if (off_raster)
            return std::nullopt;
        const std::int64_t band = std::max<std::int64_t>(most_cells_at_once / rect.cols, 1);
        for (std::int64_t row = rect.row; row < rect.row + rect.rows; row += band)
            fit.take(reader_.read(
                {rect.col, row, rect.cols, std::min(band, rect.row + rect.rows - row)}));
        return fit.fit();
    }

    std::optional<double> break_of(const Structure& s, const HeightLattice& lattice,
                                   const LocalSlope& slope)
    {
        const UphillLine line{s.footprint, lattice, slope.downhill, within_m_, reach_m_};
        std::vector<double> heights_m;
        const Point cells = lattice.cell_of(line.at(1)) - lattice.cell_of(line.at(0));
        const auto at_once = static_cast<std::int64_t>(
            std::clamp(widest_at_once / std::max(std::abs(cells.x), std::abs(cells.y)), 1.0,
                       most_steps_at_once));
        for (std::int64_t first = 0; first <= line.steps; first += at_once) {
            const std::int64_t last = std::min(first + at_once - 1, line.steps);
            const Point a = line.at(first);
            const Point b = line.at(last);
            const HeightWindow& window =
                reader_.read(lattice.cells_in({{std::min(a.x, b.x), std::min(a.y, b.y)},
                                               {std::max(a.x, b.x), std::max(a.y, b.y)}}));
            for (std::int64_t k = first; k <= last; ++k)
                heights_m.push_back(window.between(lattice.cell_of(line.at(k))));
        }
        return slope_break_m(line, heights_m, slope.fall);
    }

    static double aspect_deg(const Grid& grid, Point downhill)
    {
        const Point map = downhill.x * grid.along_cols() + downhill.y * grid.against_rows();
        const double degrees = std::atan2(map.x, map.y) * 180 / std::numbers::pi;
        return degrees < 0 ? degrees + 360 : degrees + 0.0; // no -0
    }

    Grid grid_;
    CellRect extent_;
    double within_m_;
    double reach_m_;
    ElevationRaster::Reader reader_;
};

bool is_uneven(const Terrain& terrain, double within_m)
{
    return terrain.slope && terrain.slope->residual_m > uneven_part * within_m;
}

/// Counts and warnings, in the order of structures.
void sum_up(Inputs& inputs, const std::vector<SlopeFinding>& found)
{
    Finding without;
    Finding off;
    Finding uneven;
    Finding impossible;
    TerrainCounts& counts = inputs.terrain;
    for (std::size_t k = 0; k < found.size(); ++k) {
        const Terrain& terrain = found[k].terrain;
        const std::string& id = inputs.community.structures[k].id;
        if (!terrain.slope)
            (found[k].off_raster ? off : without).add(id);
        if (is_uneven(terrain, counts.within_m))
            uneven.add(id);
        if (found[k].impossible)
            impossible.add(id);
        counts.flat += terrain.slope && terrain.slope->is_flat() ? 1 : 0;
    }
    counts.off_raster = off.count();
    counts.without_slope = off.count() + without.count();
    counts.uneven = uneven.count();
    off.report(inputs.warnings, "off_elevation",
               fmt::format("structures have no slope and round rings: the elevation raster has "
                           "no cells within {:g} m of them",
                           counts.within_m));
    without.report(inputs.warnings, "no_slope",
                   fmt::format("structures have no slope and round rings: fewer than {} cells with "
                               "heights, or all of them in one line, within {:g} m",
                               fewest_slope_cells, counts.within_m));
    uneven.report(inputs.warnings, "uneven_ground",
                  fmt::format("structures are on uneven land: heights within {:g} m "
                              "differ from it by more than {:g} m (slope_residual_m)",
                              counts.within_m, uneven_part * counts.within_m));
    impossible.report(inputs.warnings, "impossible_heights",
                      fmt::format("structures are near heights below {:g} or above {:g} m, which "
                                  "count as not known: check nodata and unit of inputs.elevation",
                                  lowest_ground_m, highest_ground_m));
}

/// Rings of structures without a slope stay round.
void stretch_rings(Inputs& inputs, const StretchTable& table)
{
    for (std::size_t k = 0; k < inputs.community.terrain.size(); ++k) {
        const auto& slope = inputs.community.terrain[k].slope;
        RingStretch& stretch = inputs.community.structures[k].stretch;
        stretch = slope ? table.at(*slope) : RingStretch{};
        inputs.terrain.stretched += stretch.is_round() ? 0 : 1;
        inputs.terrain.furthest_down = std::max(inputs.terrain.furthest_down, stretch.down);
    }
}

/// "1 x down and 1 x across at 10 degrees, 2.5 x down ..."
std::string in_words(const StretchTable& table)
{
    std::vector<std::string> rows;
    for (const StretchRow& row : table.rows)
        rows.push_back(fmt::format("{:g} x down and {:g} x across at {:g} degrees", row.down,
                                   row.across, row.slope_deg));
    return rows.empty() ? "never (no factors)" : fmt::format("{}", fmt::join(rows, ", "));
}

} // namespace

void find_slopes(Inputs& inputs, const Config& config, int jobs,
                 const std::function<void()>& check_cancelled, Reuse* reuse)
{
    if (!inputs.elevation)
        return;
    bound_block_cache(
        height_cache_bytes(memory_limit(config.run.memory_mb, group_bounds()).has_value()));
    const std::vector<Structure>& structures = inputs.community.structures;
    const TileIndex index = TileIndex::of_owners(inputs.community, config.run.tile_cells);
    std::vector<SlopeFinding> found(structures.size());
    for_each_in_parallel<SlopeTask>(
        jobs, index.tiles().size(),
        [&] {
            return SlopeTask{inputs, config.rings};
        },
        [&](SlopeTask& task, std::size_t t) {
            check_cancelled();
            const auto of_tile = index.structures(index.tiles()[t]);
            const auto find = [&] {
                for (const std::uint32_t k : of_tile)
                    found[k] = task.run(structures[k]);
            };
            if (reuse)
                reuse->slopes(index.tiles()[t], of_tile, inputs, config.inputs.elevation.value(),
                              config.rings, found, find);
            else
                find();
        },
        [](const SlopeTask&) {});
    if (std::all_of(found.begin(), found.end(), [](const SlopeFinding& f) { return f.off_raster; }))
        throw Error{Failure::input, "no structure is on the elevation raster",
                    inputs.elevation->path(),
                    "check that it covers the community, and its CRS (inputs.elevation.crs)"};
    inputs.terrain.within_m = slope_within_m(config.rings);
    sum_up(inputs, found);
    for (const SlopeFinding& f : found)
        inputs.community.terrain.push_back(f.terrain);
    stretch_rings(inputs, config.stretch);
}

void say_slopes(const Inputs& inputs, const StretchTable& table, Log& log)
{
    if (!inputs.elevation)
        return;
    const auto structures = static_cast<std::int64_t>(inputs.community.structures.size());
    log.detail(fmt::format("slope found for {} of {} structures (within {:g} m of the walls)",
                           structures - inputs.terrain.without_slope, structures,
                           inputs.terrain.within_m));
    log.detail(
        fmt::format("rings beyond the innermost reach further on slopes: {}; {} structures, up "
                    "to {:.2f} times as far downhill; ring names are unchanged",
                    in_words(table), inputs.terrain.stretched, inputs.terrain.furthest_down));
}

nlohmann::json slopes_json(const Inputs& inputs)
{
    const HeightUnitFound& unit = inputs.elevation->unit();
    return {{"description", inputs.elevation->description()},
            {"unit", name_of(unit.unit)},
            {"unit_reason", unit.reason},
            {"within_m", inputs.terrain.within_m},
            {"structures_without_slope", inputs.terrain.without_slope},
            {"structures_off_raster", inputs.terrain.off_raster},
            {"structures_on_flat_ground", inputs.terrain.flat},
            {"structures_on_uneven_ground", inputs.terrain.uneven},
            {"structures_with_stretched_rings", inputs.terrain.stretched},
            {"largest_down_factor", inputs.terrain.furthest_down}};
}

} // namespace fuelring
