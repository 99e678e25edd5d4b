// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>

namespace fuelring {

/// What ranks compare.
enum class RankBy : std::uint8_t { exposure, exposure_x_susceptibility };
/// By the words that configurations and tables use; empty for any other.
std::optional<RankBy> rank_by(std::string_view name);
std::string_view name_of(RankBy by);

/// Above 0, since no attribute makes a structure safe, and at most 100.
bool is_multiplier(double value);

/// How much more, or less, a structure suffers from the same exposure for a value of an attribute
/// such as the fire-test class of the roof covering. A CSV: value,label,multiplier,source.
class MultiplierTable {
public:
    /// Throws: Error{usage} naming file, line and what is wrong.
    /// Law: a value has one row, and its multiplier is one (is_multiplier).
    static MultiplierTable read(const std::filesystem::path& csv);

    /// Values are compared as they stand, blanks around them left out.
    std::optional<double> find(std::string_view value) const;

private:
    std::map<std::string, double, std::less<>> multiplier_of_;
};

} // namespace fuelring
