// SPDX-License-Identifier: Apache-2.0
#include "run/gate/gate_reach.hpp"

#include "io/georeference/geotransform.hpp"
#include "run/schedule/tiles.hpp"

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

} // namespace

bool rings_see_difference(const Inputs& inputs, double widest_m, const CellRect& a,
                          const CellRect& b)
{
    const CellsOfFile file{inputs.raster->plan()};
    const auto& structures = inputs.community.structures;
    return std::any_of(structures.begin(), structures.end(), [&](const Structure& s) {
        const CellRect reach = file.of(reach_of(s, inputs.raster->grid(), widest_m));
        const CellRect in_a = intersection(reach, a);
        const CellRect in_b = intersection(reach, b);
        return in_a.empty() ? !in_b.empty() : !(in_a == in_b);
    });
}

} // namespace fuelring
