// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/column.hpp"
#include "run/classify/class_model.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// One row of the table of classes.
struct ClassRow {
    std::int64_t code;
    std::string label, group;
    double conifer_share;
    std::string source;
};
const std::vector<Column<ClassRow>>& class_columns();
std::vector<ClassRow> class_rows(const ClassModel& model, bool has_height);

/// One training area, as it was used.
struct TrainingRow {
    std::int64_t feature;
    std::string group, use, block;
    std::optional<std::int64_t> fold;
    std::int64_t cells, low_cells, unknown_cells;
    std::optional<double> held_out_share;
};
const std::vector<Column<TrainingRow>>& training_columns();

/// training_used.gpkg, layer training_used. Throws: Error{output}.
void write_training_used(const std::filesystem::path& path,
                         const std::vector<TrainingShape>& shapes, const ClassModel& model,
                         const AnalysisGrid& analysis);

/// The tables of a classification, for the manual.
std::vector<FileColumns> classify_tables();

} // namespace fuelring
