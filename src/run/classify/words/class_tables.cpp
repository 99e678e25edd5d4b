// SPDX-License-Identifier: Apache-2.0
#include "run/classify/words/class_tables.hpp"

#include "run/classify/words/accuracy_rows.hpp"

#include <fmt/format.h>

#include <bit>
#include <cmath>
#include <cstring>

namespace fuelring {

namespace {

constexpr const char* words_of_use[] = {"training", "visit", "control"};

static_assert(std::endian::native == std::endian::little);

template <typename Value>
void append(std::string& wkb, Value value)
{
    char bytes[sizeof value];
    std::memcpy(bytes, &value, sizeof value);
    wkb.append(bytes, sizeof value);
}

void append_head(std::string& wkb, std::uint32_t type, std::size_t count)
{
    append<std::uint8_t>(wkb, 1);
    append<std::uint32_t>(wkb, type);
    append<std::uint32_t>(wkb, static_cast<std::uint32_t>(count));
}

/// The shape on the map; a point as its cell.
/// Source of the layout: OGC 06-103r4, well-known binary.
std::string wkb_of(const TrainingShape& shape, const Grid& grid)
{
    const auto& g = grid.geotransform();
    std::vector<RawPolygon> polygons = shape.polygons;
    for (const CellRun& run : shape.points.empty() ? std::vector<CellRun>{} : shape.cells) {
        const auto x = static_cast<double>(run.col);
        const auto y = static_cast<double>(run.row);
        polygons.push_back({{{{x, y}, {x, y + 1}, {x + 1, y + 1}, {x + 1, y}}}});
    }
    std::string wkb;
    append_head(wkb, 6, polygons.size());
    for (const RawPolygon& polygon : polygons) {
        append_head(wkb, 3, polygon.loops.size());
        for (const auto& loop : polygon.loops) {
            const bool closed = loop.size() > 1 && loop.front() == loop.back();
            const std::size_t count = loop.size() + (closed ? 0 : 1);
            append<std::uint32_t>(wkb, static_cast<std::uint32_t>(count));
            for (std::size_t k = 0; k < count; ++k) {
                const Point cell = loop[k % loop.size()];
                append(wkb, g[0] + g[1] * cell.x + g[2] * cell.y);
                append(wkb, g[3] + g[4] * cell.x + g[5] * cell.y);
            }
        }
    }
    return wkb;
}

} // namespace

const std::vector<Column<ClassRow>>& class_columns()
{
    static const std::vector<Column<ClassRow>> columns{
        {"code", "Code", unit::none, &ClassRow::code, "in band 1 of fuel.tif"},
        {"label", "Label", unit::none, &ClassRow::label, "in words"},
        {"group", "Group", unit::none, &ClassRow::group, "group of the fuel-class tables"},
        {"conifer_share", "Conifers", Unit{"share 0 to 1", 1}, &ClassRow::conifer_share,
         "share of conifers that the class stands for"},
        {"source", "Source", unit::none, &ClassRow::source, "where the class comes from"},
    };
    return columns;
}

std::vector<ClassRow> class_rows(const ClassModel& model, bool has_height)
{
    const std::string source =
        model.rule ? "fuelring classify, by a rule without training" : "fuelring classify";
    const auto label = [&](FuelGroup group) -> std::string {
        if (!model.rule)
            return std::string{name_of(group)};
        if (group == FuelGroup::conifer)
            return "tall and green in winter";
        if (group == FuelGroup::built)
            return "tall and never green";
        return model.groups.back() == FuelGroup::built ? "tall and green in summer alone"
                                                       : "tall and not green in winter";
    };
    std::vector<ClassRow> rows;
    for (const FuelGroup group : model.groups)
        rows.push_back({static_cast<std::int64_t>(group), label(group), std::string{name_of(group)},
                        static_cast<double>(conifer_share_of(group)), source});
    if (model.rule || (model.only_trees && has_height))
        rows.push_back({low_code,
                        model.rule ? fmt::format("lower than {} m", model.rule->tall_m)
                                   : fmt::format("lower than {} m, not trained", least_tree_m),
                        std::string{name_of(FuelGroup::grass)}, 0, source});
    return rows;
}

const std::vector<Column<TrainingRow>>& training_columns()
{
    static const std::vector<Column<TrainingRow>> columns{
        {"feature", "Feature", unit::none, &TrainingRow::feature,
         "id in the training layer, or in that of the field checks"},
        {"group", "Group", unit::none, &TrainingRow::group, "what it was said to be"},
        {"use", "Use", unit::none, &TrainingRow::use,
         "training (area), visit (field check that was learned from) or control (field check that "
         "was kept apart)"},
        {"block", "Block", unit::none, &TrainingRow::block, "empty where blocks are by place"},
        {"fold", "Fold", unit::none, &TrainingRow::fold,
         "areas of a fold were held out together; empty for controls"},
        {"cells", "Cells", unit::none, &TrainingRow::cells, "cells that were used"},
        {"low_cells", "Low cells", unit::none, &TrainingRow::low_cells,
         "cells in an area of trees that are lower than 2 m, left out"},
        {"unknown_cells", "Unknown cells", unit::none, &TrainingRow::unknown_cells,
         "cells left out since an image does not show them, or since two areas claim them"},
        {"held_out_share", "Share of conifers when held out", unit::share,
         &TrainingRow::held_out_share,
         "mean share of conifers by a model that had not seen the area's block"},
    };
    return columns;
}

void write_training_used(const std::filesystem::path& path,
                         const std::vector<TrainingShape>& shapes, const ClassModel& model,
                         const AnalysisGrid& analysis)
{
    GpkgFile file{path, analysis.crs};
    const auto row = [&](std::size_t k) {
        const TrainingArea& a = model.areas[k];
        const double share = model.held_out_share[k];
        const std::size_t fold = model.fold_of_area[k];
        return TrainingRow{a.feature,
                           std::string{name_of(a.group)},
                           words_of_use[static_cast<std::size_t>(a.use)],
                           a.block,
                           fold == no_fold ? std::nullopt
                                           : std::optional{static_cast<std::int64_t>(fold + 1)},
                           a.cells,
                           a.low_cells,
                           a.dark_cells,
                           std::isnan(share) ? std::nullopt : std::optional{share}};
    };
    add_layer(file, "training_used", GpkgFile::Shape::multipolygon, training_columns(),
              model.areas.size(), row,
              [&](std::size_t k) { return wkb_of(shapes[k], analysis.grid); });
    file.finish();
}

std::vector<FileColumns> classify_tables()
{
    return {{"accuracy.csv", heads_of(accuracy_columns())},
            {"fuel_classes.csv", heads_of(class_columns())},
            {"training_used", heads_of(training_columns())}};
}

} // namespace fuelring
