// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/column.hpp"
#include "run/classify/class_blocks.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// One figure about the classification.
struct AccuracyRow {
    std::string kind;  ///< what it is
    std::string what;  ///< of which class, feature, or tenth of the share
    std::string other; ///< of a confusion: the class that was told
    std::optional<double> value;
    std::optional<std::int64_t> cells; ///< cells, or areas, that it rests on
};
const std::vector<Column<AccuracyRow>>& accuracy_columns();
std::vector<AccuracyRow> accuracy_rows(const ClassModel& model,
                                       const std::vector<std::string>& features,
                                       const ClassTotals& totals, double cell_ha);

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
