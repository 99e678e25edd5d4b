// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring::test {

/// A reader of bytes that somebody else wrote.
struct FuzzTarget {
    std::string name;
    /// Reads the bytes as the program would. An Error is a fine end; whatever else is thrown, a
    /// sanitizer's word and a signal are findings.
    void (*read)(std::string_view bytes);
    std::vector<std::string> (*seeds)(); ///< good files to start from
};

const std::vector<FuzzTarget>& fuzz_targets();

void read_outline(std::string_view bytes); ///< of fuzz_targets, in files of their own
void read_library(std::string_view bytes);
void read_batch(std::string_view bytes);
void read_c_interface(std::string_view bytes);

} // namespace fuelring::test
