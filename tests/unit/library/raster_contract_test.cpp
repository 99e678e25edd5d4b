// SPDX-License-Identifier: Apache-2.0
#include "support/fuel_fixtures.hpp"
#include "unit/library/refused.hpp"

#include <fuelring/fuel_window.hpp>

#include <doctest/doctest.h>

#include <limits>

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("a grid asks for cells that can be counted and measured")
{
    using G = std::array<double, 6>;
    const Grid grid = square_grid(1, 100, 100);
    const auto make = [](G g, std::int64_t cols, std::int64_t rows) {
        return [=] { (void)Grid{g, cols, rows}; };
    };
    const Refused rows[] = {
        {"NaN", make({not_a_number, 1, 0, 0, 0, -1}, 9, 9), "not finite"},
        {"no columns", make({0, 1, 0, 0, 0, -1}, 0, 9), "no cells"},
        {"rows below 0", make({0, 1, 0, 0, 0, -1}, 9, -1), "no cells"},
        {"too many", make({0, 1, 0, 0, 0, -1}, most, 9), "more than 2^31 - 1"},
        {"no height", make({0, 1, 0, 0, 0, 0}, 9, 9), "cells without area"},
        {"endless cells", make({0, 1e200, 0, 0, 0, -1e200}, 9, 9), "a cell has a side below"},
        {"tiny cells", make({0, 1e-12, 0, 0, 0, -1}, 9, 9), "a cell has a side below"},
        {"tiny scale", [&] { (void)grid.at_scale(1e-300); }, "Grid::at_scale: a scale"},
        {"sheared", make({0, 1, 0.1, 0, 0, -1}, 9, 9), "right angles"},
        {"no scale", [&] { (void)grid.at_scale(0); }, "Grid::at_scale: a scale"},
        {"NaN scale",
         [&] {
             (void)grid.at_scale({1, not_a_number});
         },
         "Grid::at_scale: a scale"},
        {"NaN place",
         [&] {
             (void)grid.frame_at({not_a_number, 0});
         },
         "Grid::frame_at: the place"},
        {"far place",
         [&] {
             (void)grid.frame_at({0, 1e300});
         },
         "Grid::frame_at: the place"},
        {"NaN box",
         [&] {
             (void)grid.cells_of({}, {{0, 0}, {not_a_number, 1}});
         },
         "Grid::cells_of: the box"},
        {"no box", [&] { (void)grid.cells_of({}, bounds(Footprint{})); },
         "Grid::cells_of: the box"},
        {"far frame",
         [&] {
             (void)grid.cells_of({most, 0}, {});
         },
         "Grid::cells_of: the box"},
        {"far cells",
         [] {
             (void)intersection({most, 0, 1, 1}, {});
         },
         "intersection: a cell"},
        {"many cells",
         [] {
             (void)hull({}, {0, 0, 1, most});
         },
         "hull: a cell"},
        {"wide margin",
         [] {
             (void)widened({0, 0, 1, 1}, most);
         },
         "widened: a cell"},
    };
    check_refused(rows);
    CHECK(hull({3, 4, 1, 1}, {}) == CellRect{3, 4, 1, 1});
    CHECK(hull({}, {3, 4, 1, 1}) == CellRect{3, 4, 1, 1});
}

TEST_CASE("a class table asks for groups and shares that are some")
{
    const auto table = [](FuelClass row) { return [row] { (void)FuelClassTable{{row}}; }; };
    const auto row = [](FuelGroup group, std::int32_t share) {
        return FuelClass{7, "a class", group, share, "test"};
    };
    FuelClassTable full = classes();
    const Refused rows[] = {
        {"share above 1", table(row(FuelGroup::conifer, whole_share + 1)), "class 7 (a class): a"},
        {"share below 0", table(row(FuelGroup::conifer, -1)), "conifer share of -1"},
        {"unknown and known", table(row(FuelGroup::unmapped, 1)), "an unmapped class has"},
        {"no group", table(row(static_cast<FuelGroup>(0), 0)), "0 is not a group"},
        {"beyond the groups", table(row(static_cast<FuelGroup>(11), 0)), "11 is not a group"},
        {"unlisted", [&] { full.add_unlisted({.group = FuelGroup::mixed, .conifer_share = -5}); },
         "conifer share of -5"},
        {"repeated",
         [] {
             (void)FuelClassTable{{{1, "", FuelGroup::grass}, {1}}};
         },
         "two rows"},
        {"too many rows", [] { (void)FuelClassTable{std::vector<FuelClass>(65'535)}; }, "65534"},
        {"beyond the table", [] { (void)classes()[5]; }, ""},
        {"name of none", [] { (void)name_of(static_cast<FuelGroup>(0)); }, "0 is not a fuel group"},
    };
    check_refused(rows);
    CHECK_THROWS_AS((void)classes()[5], std::out_of_range);
}

TEST_CASE("a window asks for as many cells as it has, of classes that contribute")
{
    const std::vector<ClassIndex> cells(12, grass);
    std::vector<ClassIndex> odd = cells;
    odd[7] = 5;
    const std::vector<FuelSum> known = contributions(classes());
    const auto with = [&known](FuelSum sum) {
        std::vector<FuelSum> changed = known;
        changed[1] = sum;
        return changed;
    };
    const auto make = [](CellRect rect, std::vector<ClassIndex> in, std::size_t stride,
                         std::vector<FuelSum> of) {
        return [=] { (void)FuelWindow{rect, in, stride, of}; };
    };
    const CellRect rect{2, 3, 4, 3};
    const Refused rows[] = {
        {"no cells", make({2, 3, 0, 3}, cells, 4, known), "the rectangle has no cells"},
        {"rows below 0", make({2, 3, 4, -3}, cells, 4, known), "the rectangle has no cells"},
        {"far", make({most, 3, 4, 3}, cells, 4, known), "the rectangle has no cells"},
        {"stride too short", make(rect, cells, 3, known), "the stride is less"},
        {"span too short", make({2, 3, 4, 4}, cells, 4, known), "fewer cells than its rows need"},
        {"last row too short", make(rect, cells, 5, known), "fewer cells than its rows need"},
        {"no span", make(rect, {}, 4, known), "fewer cells than its rows need"},
        {"rows without end", make({0, 0, 1, most / 2048}, cells, 1, known), "fewer cells"},
        {"beyond the table", make(rect, odd, 4, known), "class 5 of a table of 5 rows"},
        {"no table", make(rect, cells, 4, {}), "class 3 of a table of 0 rows"},
        {"too wide", make({0, 0, 200'001, 1}, cells, 200'001, known), "row too wide"},
        {"share above 1", make(rect, cells, 4, with({10'001, 0, 1, 0})), "not that of one cell"},
        {"together above 1", make(rect, cells, 4, with({6'000, 6'000, 1, 0})), "of one cell"},
        {"below 0", make(rect, cells, 4, with({-1, 0, 1, 0})), "not that of one cell"},
        {"known twice", make(rect, cells, 4, with({0, 0, 2, 0})), "not that of one cell"},
        {"known and not", make(rect, cells, 4, with({0, 0, 1, 1})), "not that of one cell"},
        {"unknown conifer", make(rect, cells, 4, with({1, 0, 0, 1})), "not that of one cell"},
    };
    check_refused(rows);

    const FuelWindow window{rect, cells, 4, known};
    CHECK(window.sum(3, 2).mapped == 0);
    CHECK(window.sum(5, 6).mapped == 4);
    for (const auto& [row, col] : {std::pair{2, 2}, {6, 2}, {3, 1}, {3, 7}}) {
        CHECK_FALSE(window.has_sum(row, col));
        CHECK_THROWS_AS((void)window.sum(row, col), std::out_of_range);
    }
    // The last row of a window need not be as long as the stride.
    CHECK_NOTHROW(FuelWindow(CellRect{0, 0, 2, 3}, cells, 5, known));
}
