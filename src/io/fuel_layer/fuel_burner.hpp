// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/fuel_layer/fuel_layer.hpp"

#include <fuelring/outline.hpp>

#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// Burns windows of a layer: what share of each cell lies in each polygon is exact but for the last
/// places of the surface's fixed point (coverage/scatter).
/// - A cell of which less than half is covered is unmapped.
/// - Of codes a cell has the one that covers most of it; of codes that cover as much, to a
///   millionth of the cell, the smallest.
/// - Of shares a cell has the mean over its covered part, weighted by area, rounded to the nearest
///   ten-thousandth, halves up.
/// Law: a cell depends on the layer and its grid alone, not on the window.
/// For one thread; the layer must outlive it.
class FuelBurner {
public:
    explicit FuelBurner(const FuelLayer& layer) : layer_{layer} {}

    /// Codes, or shares in ten-thousandths, row by row; no_fuel_value where the cell is unmapped.
    /// Cost: for each value that meets the window a pass over its cells; for each polygon a look at
    /// its lines.
    /// Shape: `rect` is on the layer's grid and may reach beyond it; `out` has its cells.
    void burn(const CellRect& rect, std::span<std::int64_t> out);

private:
    /// Sum of covers of grounds [first, last), as differences along the rows of `cells`.
    void cover(std::size_t first, std::size_t last, const CellRect& cells);
    const Outline& outline_in(const FuelGround& ground, const CellRect& cells);
    void take(std::int64_t value, const CellRect& cells, const CellRect& rect,
              std::span<std::int64_t> out);

    const FuelLayer& layer_;
    std::vector<std::uint64_t> cover_;
    std::vector<std::int64_t> total_;    ///< by cell of the window, in fixed point
    std::vector<std::int64_t> best_;     ///< of codes: the largest cover, in 2^-20 of a cell
    std::vector<std::int64_t> weighted_; ///< of shares: cover times share
    Outline outline_;
};

} // namespace fuelring
