// SPDX-License-Identifier: Apache-2.0

// Change integrated over rectangles on grids that have no line in common, judged by adding up the
// rectangles that cells of one share with cells of the other.
#include "change/overlay.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

using namespace fuelring;

namespace {

FuelPatch random_patch(const CellRect& rect, std::mt19937_64& random)
{
    FuelPatch patch{rect, {}, {}};
    for (std::int64_t k = 0; k < rect.cols * rect.rows; ++k) {
        const auto roll = random() % 8;
        patch.share.push_back(roll == 0   ? FuelPatch::unknown_share
                              : roll == 1 ? std::uint16_t{0}
                                          : static_cast<std::uint16_t>(random() % 10001));
        patch.group.push_back(roll == 0 ? std::uint16_t{9} : std::uint16_t{2});
    }
    return patch;
}

double shared_length(double a0, double a1, double b0, double b1)
{
    return std::max(std::min(a1, b1) - std::max(a0, b0), 0.0);
}

/// Ground of one cell: west, east, south, north, in the map.
struct CellBox {
    double x0, x1, y0, y1;

    CellBox(const Grid& grid, std::int64_t col, std::int64_t row)
    {
        const Point a = grid.corner(col, row);
        const Point b = grid.corner(col + 1, row + 1);
        x0 = std::min(a.x, b.x);
        x1 = std::max(a.x, b.x);
        y0 = std::min(a.y, b.y);
        y1 = std::max(a.y, b.y);
    }
};

ChangeArea by_rectangles(const FuelPatch& before, const Grid& of_before, const FuelPatch& after,
                         const Grid& of_after, const Box& region)
{
    ChangeArea sum;
    for (std::int64_t r = after.rect.row; r < after.rect.row + after.rect.rows; ++r)
        for (std::int64_t c = after.rect.col; c < after.rect.col + after.rect.cols; ++c)
            for (std::int64_t q = before.rect.row; q < before.rect.row + before.rect.rows; ++q)
                for (std::int64_t p = before.rect.col; p < before.rect.col + before.rect.cols;
                     ++p) {
                    const CellBox a{of_after, c, r};
                    const CellBox b{of_before, p, q};
                    const double m2 = shared_length(std::max(a.x0, b.x0), std::min(a.x1, b.x1),
                                                    region.min.x, region.max.x) *
                                      shared_length(std::max(a.y0, b.y0), std::min(a.y1, b.y1),
                                                    region.min.y, region.max.y);
                    const std::uint16_t was = before.share[before.index(p, q)];
                    const std::uint16_t is = after.share[after.index(c, r)];
                    const bool known = was != FuelPatch::unknown_share;
                    if (known && is != FuelPatch::unknown_share) {
                        sum.compared_m2 += m2;
                        sum.removed_m2 += m2 * std::max(was - is, 0) / 1e4;
                        sum.regrown_m2 += m2 * std::max(is - was, 0) / 1e4;
                        sum.unchanged_m2 += m2 * std::min(was, is) / 1e4;
                    } else if (known) {
                        sum.before_only_m2 += m2;
                        sum.before_only_conifer_m2 += m2 * was / 1e4;
                    } else if (is != FuelPatch::unknown_share) {
                        sum.after_only_m2 += m2;
                        sum.after_only_conifer_m2 += m2 * is / 1e4;
                    } else {
                        sum.neither_m2 += m2;
                    }
                }
    return sum;
}

} // namespace

TEST_CASE("overlaid grids give what their shared rectangles add up to")
{
    std::mt19937_64 random{20240715};
    const Grid of_after{{100, 1, 0, 200, 0, -1}, 40, 40};
    // Another cell size and corner; rows that count upwards; cells that are no squares.
    const Grid others[] = {Grid{{97.31, 0.7, 0, 203.17, 0, -0.7}, 70, 70},
                           Grid{{98.13, 1.3, 0, 150.77, 0, 1.1}, 50, 60},
                           Grid{{100, 1, 0, 200, 0, -1}, 40, 40}};
    for (const Grid& of_before : others) {
        const auto relation = relation_of(of_after, of_before);
        REQUIRE(relation);
        const FuelPatch after = random_patch({8, 8, 16, 16}, random);
        const FuelPatch before = random_patch(cells_under(after.rect, *relation), random);
        const CellFrame frame{14, 20};
        const FuelOverlay overlay{before, after, *relation, frame};
        const Box local{{-3.21, -1.4}, {4.75, 7.63}};
        const Outline box = outline_of(Footprint{
            {{local.min, {local.max.x, local.min.y}, local.max, {local.min.x, local.max.y}}}});
        const ChangeArea found = overlay.integrate(box, of_after);
        const Box region{of_after.to_map(frame, local.min), of_after.to_map(frame, local.max)};
        const ChangeArea sum = by_rectangles(before, of_before, after, of_after, region);
        const double slack_m2 = 1e-11 * (local.max.x - local.min.x) * (local.max.y - local.min.y);
        const auto near = [slack_m2](double a, double b) { return std::abs(a - b) <= slack_m2; };
        CHECK(near(found.removed_m2, sum.removed_m2));
        CHECK(near(found.regrown_m2, sum.regrown_m2));
        CHECK(near(found.unchanged_m2, sum.unchanged_m2));
        CHECK(near(found.compared_m2, sum.compared_m2));
        CHECK(near(found.before_only_m2, sum.before_only_m2));
        CHECK(near(found.after_only_m2, sum.after_only_m2));
        CHECK(near(found.neither_m2, sum.neither_m2));
        CHECK(near(found.before_only_conifer_m2, sum.before_only_conifer_m2));
        CHECK(near(found.after_only_conifer_m2, sum.after_only_conifer_m2));
        CHECK(sum.removed_m2 > 1);
        CHECK(sum.after_only_m2 > 1);
    }
}

TEST_CASE("grids that are turned against each other have no relation")
{
    const Grid grid{{100, 1, 0, 200, 0, -1}, 40, 40};
    CHECK_FALSE(relation_of(grid, Grid{{100, 0.8, 0.6, 200, 0.6, -0.8}, 40, 40}));
    CHECK_FALSE(relation_of(grid, Grid{{100, 0, 1, 200, 1, 0}, 40, 40})); // a quarter turn
}
