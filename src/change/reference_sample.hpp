// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/footprint.hpp>

#include <array>
#include <compare>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>
#include <vector>

namespace fuelring {

/// Classes of change that points are drawn in, in the order of change.tif, which counts from 1.
inline constexpr std::size_t drawn_classes = 4;
inline constexpr std::array<const char*, drawn_classes> drawn_class_names{
    "removed", "regrown", "unchanged", "no_conifer"};

/// The sequence of draws: a number for every cell, even over all numbers of 64 bits, that depends
/// on seed, row and column alone: mixed_number(seed, row, col).
std::uint64_t number_of_cell(std::uint64_t seed, std::int64_t row, std::int64_t col);

/// The spot in a cell that a point stands on, from its upper left corner, as shares of its width
/// and height: share_of_number of mixed(number + g) and of mixed(number + 2 g) with g =
/// golden_step.
Point spot_in_cell(std::uint64_t number);

/// A cell with its number. The order is that of the draw.
struct DrawnCell {
    std::uint64_t number = 0;
    std::int64_t row = 0;
    std::int64_t col = 0;

    friend auto operator<=>(const DrawnCell&, const DrawnCell&) = default;
};

/// The cells of one class with the least numbers, as many as are wanted, in their order.
/// Law: depends on the cells that were offered, not on their order: a simple random sample of them,
/// and that of a smaller number is the beginning of that of a larger one.
class LeastNumbers {
public:
    explicit LeastNumbers(std::size_t wanted = 0) : wanted_(wanted) {}

    std::size_t wanted() const { return wanted_; }
    /// Numbers above it are not wanted any more.
    std::uint64_t bound() const
    {
        return cells_.size() < wanted_ ? std::numeric_limits<std::uint64_t>::max()
                                       : (wanted_ ? cells_.back().number : 0);
    }
    /// `cells`: any, each offered once.
    void offer(std::span<const DrawnCell> cells);
    const std::vector<DrawnCell>& cells() const { return cells_; }

private:
    std::size_t wanted_;
    std::vector<DrawnCell> cells_;
};

/// How many points each class gets: in proportion to its ground, at least 50, or an equal part of
/// them where that is less. Classes without ground get none.
/// Throws: Error{input} where no class has ground, or there are fewer than two points for each.
std::array<std::int64_t, drawn_classes>
points_by_class(const std::array<double, drawn_classes>& class_m2, std::int64_t total);

} // namespace fuelring
