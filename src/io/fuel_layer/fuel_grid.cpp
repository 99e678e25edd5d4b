// SPDX-License-Identifier: Apache-2.0
#include "io/fuel_layer/fuel_grid.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <cmath>

namespace fuelring {

namespace {

constexpr double most_cells = 250'000'000'000; ///< as of rasters
constexpr double metres_of_degree = 111'320;   ///< along a meridian, about
constexpr double worth_scaling = 0.01;         ///< a map whose metres differ by more is no ground

/// Cells of that size around the box, edges on whole multiples of it.
SourceGrid grid_around(const Crs& crs, const Box& box, double cell, const FuelSource& source)
{
    const double left = std::floor(box.min.x / cell);
    const double top = std::ceil(box.max.y / cell);
    const double cols = std::max(1.0, std::ceil(box.max.x / cell) - left);
    const double rows = std::max(1.0, top - std::floor(box.min.y / cell));
    if (!(cols * rows <= most_cells))
        throw Error{Failure::input,
                    fmt::format("{:.0f} x {:.0f} cells; {:.0f} is the most that is read", cols,
                                rows, most_cells),
                    source.path, "filter with inputs.fuel.where, or widen inputs.fuel.cell_m"};
    return {crs,
            {left * cell, cell, 0, top * cell, 0, -cell},
            static_cast<std::int64_t>(cols),
            static_cast<std::int64_t>(rows)};
}

} // namespace

AnalysisPlan plan_fuel_grid(const FuelSource& source, const Crs& crs, const Box& extent,
                            const StudyArea& study)
{
    const bool in_degrees = !crs.srs().IsProjected();
    const double unit_m = in_degrees ? metres_of_degree : crs.srs().GetLinearUnits(nullptr);
    const double cell = source.cell_m / unit_m;
    AnalysisPlan plan = plan_analysis(grid_around(crs, extent, cell, source), study, source.path);
    if (plan.warped()) {
        const Grid& local = plan.analysis.grid;
        const Box area = Box::between(local.corner(0, 0), local.corner(local.cols(), local.rows()));
        const std::string why = fmt::format("a local grid, since the layer is in {}; ", crs.name());
        plan = plan_analysis(grid_around(plan.analysis.crs, area, source.cell_m, source), study,
                             source.path);
        plan.decision = why + plan.decision;
        return plan;
    }
    const double map_metres =
        unit_m *
        std::sqrt(std::sqrt(plan.source_scale.smallest_areal * plan.source_scale.largest_areal));
    if (std::abs(map_metres - 1) <= worth_scaling)
        return plan;
    return plan_analysis(grid_around(crs, extent, cell * map_metres, source), study, source.path);
}

} // namespace fuelring
