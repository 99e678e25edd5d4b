// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/run_picture.hpp"

#include <filesystem>

namespace fuelring {

/// A CSV file that fuelring wrote, as a table: a column whose cells are all numbers or empty is one
/// of numbers; the apostrophe that makes a text inert in a spreadsheet is taken off again.
/// Throws: Error{usage} naming file and line.
/// A number that is not there is NaN. A column has as many decimals as its longest number shows.
PictureTable read_picture_table(const std::filesystem::path& csv);

} // namespace fuelring
