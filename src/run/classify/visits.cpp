// SPDX-License-Identifier: Apache-2.0
#include "run/classify/visits.hpp"

#include "io/community/corrections_in.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <set>
#include <utility>
#include <vector>

namespace fuelring {

namespace {

constexpr double square_m = 100;

/// A square of the map, whatever grid lies on it.
struct Square {
    std::int64_t col, row;
};

Square square_of(const TrainingArea& area, const Grid& grid, double cell_m)
{
    const auto& g = grid.geotransform();
    const double cells = square_m / cell_m;
    return {static_cast<std::int64_t>(std::floor((g[0] / g[1] + area.col) / cells)),
            static_cast<std::int64_t>(std::floor((g[3] / g[5] + area.row) / cells))};
}

/// Mixes well enough that neighbouring squares part (constants of splitmix64, from memory).
bool is_control(Square s)
{
    auto h = static_cast<std::uint64_t>(s.col) * 0x9e3779b97f4a7c15U +
             static_cast<std::uint64_t>(s.row) + 0x632be59bd9b4e019U;
    h = (h ^ (h >> 30U)) * 0xbf58476d1ce4e5b9U;
    h = (h ^ (h >> 27U)) * 0x94d049bb133111ebU;
    return (h ^ (h >> 31U)) % control_of == 0;
}

std::optional<FuelGroup> group_found(const Correction& row)
{
    if (!row.has_shape())
        return std::nullopt;
    if (row.kind == CorrectionKind::conifer)
        return FuelGroup::conifer;
    return row.kind == CorrectionKind::not_conifer && row.names_group ? std::optional{row.group}
                                                                      : std::nullopt;
}

using Cells = std::set<std::pair<std::int64_t, std::int64_t>>;

Cells cells_of(const TrainingLayer& layer)
{
    Cells cells;
    for (const TrainingShape& shape : layer.shapes)
        for (const CellRun& run : shape.cells)
            for (std::int64_t col = run.col; col < run.end(); ++col)
                cells.emplace(run.row, col);
    return cells;
}

void leave_out(const Cells& claimed, TrainingLayer& layer)
{
    for (TrainingShape& shape : layer.shapes) {
        std::vector<CellRun> left;
        for (const CellRun& run : shape.cells)
            for (std::int64_t col = run.col; col < run.end(); ++col)
                if (!claimed.contains({run.row, col}))
                    left.push_back({run.row, col, 1});
        shape.cells = std::move(left);
    }
}

} // namespace

TrainingLayer take_visits(const CorrectionSource& source, const AnalysisGrid& analysis,
                          double cell_m, bool blocks_are_named, TrainingLayer& layer)
{
    TrainingLayer control;
    std::vector<LayerCrs> systems;
    for (Correction& row : read_corrections(source, analysis, systems)) {
        const std::optional<FuelGroup> group = group_found(row);
        if (!group)
            continue;
        TrainingArea area;
        area.feature = row.feature;
        area.group = *group;
        area.date = row.date;
        TrainingShape shape{std::move(row.polygons), std::move(row.points), {}};
        place_shape(shape, area);
        const Square square = square_of(area, analysis.grid, cell_m);
        area.use = is_control(square) ? TrainingArea::Use::control : TrainingArea::Use::visit;
        if (blocks_are_named)
            area.block = fmt::format("visits {} {}", square.col, square.row);
        TrainingLayer& into = area.use == TrainingArea::Use::control ? control : layer;
        into.areas.push_back(std::move(area));
        into.shapes.push_back(std::move(shape));
    }
    if (!control.areas.empty())
        leave_out(cells_of(control), layer);
    return control;
}

} // namespace fuelring
