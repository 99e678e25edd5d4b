// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/partition/line_cuts.hpp"

#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace fuelring {

/// A stretch of an outline that lies in ground of one label.
struct OutlineStretch {
    std::size_t outline = 0; ///< number of the outline
    int label = 0;
    Piece piece;
};

/// A stretch of a dividing line inside one ring: ring k is outline k without outline k - 1.
/// Told once: who sums adds its integral for `left` and subtracts it for `right`.
struct LineStretch {
    std::size_t ring = 0;
    int left = 0; ///< labels beside from -> to
    int right = 0;
    Point from;
    Point to;
};

/// Nested outlines cut along dividing lines. The part of ring k with label L has for its boundary:
/// the stretches of outline k with that label, those of outline k - 1 the other way round, and the
/// lines inside the ring that have L on one side, L to their left.
struct Division {
    std::vector<std::optional<int>> whole; ///< by outline: its label, where it has one all along;
                                           ///< its pieces are not listed then
    std::vector<OutlineStretch> outlines;
    std::vector<LineStretch> lines;
    /// Law, checked: about every point each part's boundary is entered as often as it is left.
    bool closes = true;
};

/// Cuts outlines, each inside the next, along `lines`. `label_at` tells the label of a point that
/// no line leads to, judged like `cuts_of` does. `lines` must hold every line with different
/// labels on its sides that meets the last outline.
/// Cost: pieces times those lines that may meet their outline.
Division divided(std::span<const Outline> outlines, std::span<const DividingLine> lines,
                 const std::function<int(Point)>& label_at);

} // namespace fuelring
