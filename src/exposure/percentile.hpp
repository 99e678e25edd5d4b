// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>

namespace fuelring {

/// Percentile of values in rising order, linear between order statistics: with n values the k-th,
/// counted from 0, is the 100 k / (n - 1) th percentile. Empty where there are no values.
/// Requires: values rise and are finite. Throws: std::logic_error for `percent` outside 0 to 100.
/// Source: Hyndman and Fan 1996, The American Statistician 50(4):361-365, definition 7 (from
///         memory); what spreadsheets call the inclusive percentile.
std::optional<double> percentile(std::span<const double> rising, double percent);

} // namespace fuelring
