// SPDX-License-Identifier: Apache-2.0

// A made ground whose truth is known to the spot, and a map of it that errs, more often near the
// walls. A spot's truth lies in its cell from left to right: removed, regrown, unchanged, no
// conifer, each as wide as its true share, so that the truth of the whole is a sum of shares.
#pragma once

#include "change/reference_estimate.hpp"

#include <random>
#include <vector>

namespace fuelring::test {

class ReferenceWorld {
public:
    static constexpr std::int64_t side = 120, near_cols = 30;

    /// `near_error`, `far_error`: how many of a thousand cells the map has wrong.
    explicit ReferenceWorld(unsigned seed, unsigned near_error = 300, unsigned far_error = 60)
    {
        std::mt19937 random{seed};
        for (std::int64_t row = 0; row < side; ++row)
            for (std::int64_t col = 0; col < side; ++col) {
                Cell cell;
                cell.mapped = mapped_at(static_cast<unsigned>(random() % 100));
                cell.kind = kind_of(cell.mapped);
                cell.truth = cell.mapped;
                if (random() % 1000 < (col < near_cols ? near_error : far_error)) {
                    cell.truth = {};
                    // The map shows as removed what stands, and misses what grew.
                    cell.truth[cell.kind == 0 ? 2 : 1 + random() % 3] = 1;
                }
                drawn_m2_[cell.kind] += 1;
                cells_.push_back(cell);
            }
    }

    struct Draw {
        ReferenceSample sample;
        std::vector<bool> near;
    };

    Draw draw(std::uint64_t seed, std::int64_t points) const
    {
        const auto wanted = points_by_class(drawn_m2_, points);
        std::array<std::vector<DrawnCell>, drawn_classes> by_class;
        for (std::int64_t row = 0; row < side; ++row)
            for (std::int64_t col = 0; col < side; ++col)
                by_class[at(row, col).kind].push_back({number_of_cell(seed, row, col), row, col});
        Draw draw{{{}, drawn_m2_}, {}};
        for (std::size_t h = 0; h < drawn_classes; ++h) {
            LeastNumbers least{static_cast<std::size_t>(wanted[h])};
            least.offer(by_class[h]);
            for (const DrawnCell& c : least.cells()) {
                const Cell& cell = at(c.row, c.col);
                draw.sample.points.push_back({h, cell.mapped, truth_at(cell, c.number)});
                draw.near.push_back(c.col < near_cols);
            }
        }
        return draw;
    }
    ReferenceSample drawn(std::uint64_t seed, std::int64_t points) const
    {
        return draw(seed, points).sample;
    }

    double mapped_m2(std::size_t k, bool near_only) const
    {
        return sum(&Cell::mapped, k, near_only);
    }
    double true_m2(std::size_t k, bool near_only) const { return sum(&Cell::truth, k, near_only); }

private:
    struct Cell {
        ChangeShares mapped{}, truth{};
        std::size_t kind = 3;
    };

    static ChangeShares mapped_at(unsigned n)
    {
        return n < 12   ? ChangeShares{1, 0, 0, 0}
               : n < 20 ? ChangeShares{0.3, 0, 0.1, 0.6} // thinned mixed stand
               : n < 25 ? ChangeShares{0, 0.5, 0, 0.5}
               : n < 45 ? ChangeShares{0, 0, 1, 0}
               : n < 60 ? ChangeShares{0, 0, 0.4, 0.6}
                        : ChangeShares{0, 0, 0, 1};
    }
    /// As change.tif: whatever was lost makes a cell removed.
    static std::size_t kind_of(const ChangeShares& s)
    {
        return s[0] > 0 ? 0 : s[1] > 0 ? 1 : s[2] > 0 ? 2 : 3;
    }
    static ChangeShares truth_at(const Cell& cell, std::uint64_t number)
    {
        const double x = spot_in_cell(number).x;
        double until = 0;
        ChangeShares found{};
        for (std::size_t k = 0; k < drawn_classes; ++k) {
            until += cell.truth[k];
            if (x < until || k + 1 == drawn_classes) {
                found[k] = 1;
                break;
            }
        }
        return found;
    }
    const Cell& at(std::int64_t row, std::int64_t col) const
    {
        return cells_[static_cast<std::size_t>(row * side + col)];
    }
    double sum(ChangeShares Cell::*shares, std::size_t k, bool near_only) const
    {
        double m2 = 0;
        for (std::size_t c = 0; c < cells_.size(); ++c)
            if (!near_only || static_cast<std::int64_t>(c) % side < near_cols)
                m2 += (cells_[c].*shares)[k];
        return m2;
    }

    std::vector<Cell> cells_;
    std::array<double, drawn_classes> drawn_m2_{};
};

} // namespace fuelring::test
