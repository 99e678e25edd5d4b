// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/csv_reader.hpp"

#include <fuelring/statistics/accuracy.hpp>

#include <filesystem>

namespace fuelring {

/// Reads a confusion matrix of counts:
///
///     map_class,conifer,other
///     conifer,66,5
///     other,2,313
///
/// Rows are classes of the map, columns those of the reference; columns may stand in another order
/// than rows, the matrix has that of the rows. The text is read as CsvReader says.
/// Throws: Error{usage} naming file, line and column for anything but whole counts from 0 to 1e9, a
/// class without a row or a column or with two of either, sums in the last row and column, and a
/// matrix without points. `remedy`: what to do where the file cannot be read.
ConfusionMatrix read_confusion_matrix(const std::filesystem::path& csv, const std::string& remedy);

} // namespace fuelring
