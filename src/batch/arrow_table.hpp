// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/fuelring.h>

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring::batch {

/// One column of a table: texts, numbers, or so many numbers a row. NaN is null.
struct ArrowColumn {
    std::string name;
    std::vector<double> numbers{};
    std::vector<std::string> texts{};
    std::size_t a_row = 0; ///< numbers a row; 0: one, and no list
    bool is_text = false;
};

/// Hands a table over as a struct array. Every array and schema frees what is its own, so that
/// children may be moved out. Source: the Arrow C data interface, release callbacks and moving
/// child arrays.
/// Throws: std::bad_alloc; schema and array are then as they were.
void hand_over(std::vector<ArrowColumn> columns, std::size_t rows, ArrowSchema& schema,
               ArrowArray& array);

} // namespace fuelring::batch
