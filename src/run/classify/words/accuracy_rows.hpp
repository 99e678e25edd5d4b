// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/column.hpp"
#include "run/classify/block_teller.hpp"

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

} // namespace fuelring
