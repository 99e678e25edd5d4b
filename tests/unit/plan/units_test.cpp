// SPDX-License-Identifier: Apache-2.0
#include "ground.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <set>

namespace fuelring::plan {

using namespace fuelring::test;

namespace {

using PlaceOfUnit = std::pair<std::int64_t, std::int64_t>;

std::set<PlaceOfUnit> places(const std::vector<CellRun>& runs)
{
    std::set<PlaceOfUnit> all;
    for (const CellRun& run : runs)
        for (std::int64_t k = 0; k < run.cols; ++k)
            all.insert({run.row, run.col + k});
    return all;
}

/// Cells reached from the first one over edges.
std::size_t reached(const std::set<PlaceOfUnit>& cells)
{
    std::set<PlaceOfUnit> seen{*cells.begin()};
    std::vector<PlaceOfUnit> stack{*cells.begin()};
    while (!stack.empty()) {
        const PlaceOfUnit p = stack.back();
        stack.pop_back();
        for (const PlaceOfUnit& q :
             {PlaceOfUnit{p.first - 1, p.second}, PlaceOfUnit{p.first + 1, p.second},
              PlaceOfUnit{p.first, p.second - 1}, PlaceOfUnit{p.first, p.second + 1}})
            if (cells.contains(q) && seen.insert(q).second)
                stack.push_back(q);
    }
    return seen.size();
}

std::vector<Unit> units(const PlanGrid& grid, UnitRules rules, double largest_m2 = 1e6)
{
    rules.largest_m2 = largest_m2;
    std::vector<Unit> found = units_of(grid, all_cells(grid, rules.gap_m), rules, threads(2));
    build_bridges(grid, rules, threads(2), found);
    sort_by_value(found);
    return found;
}

/// Shells have the cells to their right while y counts downwards: their signed area is positive.
double signed_area(const Loop& loop)
{
    double sum = 0;
    for (std::size_t k = 0; k < loop.size(); ++k)
        sum += cross(loop[k], loop[(k + 1) % loop.size()]);
    return sum / 2;
}

} // namespace

TEST_CASE("a unit bridges its gaps by the shortest way and cuts nothing there")
{
    const PlanGrid grid = make_ground({"##...##", "#.....#"});
    const std::vector<Unit> found = units(grid, {4, 3, 0});
    REQUIRE(found.size() == 1);
    CHECK(found[0].conifer_m2() == doctest::Approx(6));
    CHECK(found[0].area_m2() == doctest::Approx(9));
    CHECK(places(found[0].bridges) == std::set<PlaceOfUnit>{{0, 2}, {0, 3}, {0, 4}});
}

TEST_CASE("a bridge aslant takes whole cells along, so that the unit holds together by edges")
{
    const PlanGrid grid = make_ground({"##..", "x.##"});
    const std::vector<Unit> found = units(grid, {4, 3, 0});
    REQUIRE(found.size() == 1);
    CHECK(places(found[0].bridges) == std::set<PlaceOfUnit>{{0, 2}}); // of two, the first by row
}

TEST_CASE("every unit is one patch of whole cells of one zone, and no two share a cell")
{
    for (const unsigned seed : {61U, 62U})
        for (const double largest_m2 : {1e6, 150.0}) {
            CAPTURE(seed);
            CAPTURE(largest_m2);
            const PlanGrid grid = make_random_ground(seed, 140, 440);
            std::set<PlaceOfUnit> taken;
            std::size_t treated = 0;
            for (const Unit& unit : units(grid, {1, 4, 0}, largest_m2)) {
                std::set<PlaceOfUnit> cells = places(unit.treated);
                treated += cells.size();
                cells.merge(places(unit.bridges));
                CHECK(reached(cells) == cells.size());
                for (const PlaceOfUnit& place : places(unit.treated))
                    CHECK(taken.insert(place).second);
                CHECK(unit.area_m2() == doctest::Approx(static_cast<double>(cells.size())));
            }
            std::size_t wanted = 0;
            for (const Block& block : grid.blocks())
                for (const Key key : block.key)
                    wanted += key != 0 ? 1 : 0;
            // smallest size 1 m2: only half-conifer cells that stand alone may be cut off
            CHECK(treated == wanted);
        }
}

TEST_CASE("what is too large for a crew is cut, and no piece is below the smallest size")
{
    const auto stand = [](std::int64_t row, std::int64_t col) {
        return GroundCell{1, 10'000, 1.0F / static_cast<float>(1 + row + col), 0};
    };
    const PlanGrid grid = make_ground(0, 0, 43, 61, stand);
    const std::vector<Unit> found = units(grid, {50, 5, 0}, 400);
    CHECK(found.size() == 7); // not fewer: 43 x 61 m2 in pieces of 400
    double sum_m2 = 0;
    for (const Unit& unit : found) {
        CHECK(unit.conifer_m2() >= 50);
        CHECK(unit.conifer_m2() <= 400);
        sum_m2 += unit.conifer_m2();
    }
    CHECK(sum_m2 == doctest::Approx(43 * 61));
}

TEST_CASE("the best value for money comes first, ties by row and column")
{
    const PlanGrid grid =
        make_ground({"####.......9999", "...............", "...............", "####..........."});
    const std::vector<Unit> found = units(grid, {4, 1, 0});
    REQUIRE(found.size() == 3);
    CHECK(found[0].treated.front().col == 11);
    CHECK(found[1].treated.front().row == 0);
    CHECK(found[2].treated.front().row == 3);
}

TEST_CASE("the outline of a unit encloses its cells, holes apart")
{
    // A ring of cells that closes over a corner: its hole is a loop of its own.
    const PlanGrid grid = make_ground({"###", "#x#", "##x", "#x#", "###"});
    const std::vector<Unit> found = units(grid, {4, 0, 0});
    REQUIRE(found.size() == 1);
    const std::vector<Loop> loops = outline_of_cells(found[0].treated, found[0].bridges);
    double area = 0;
    std::size_t holes = 0;
    for (const Loop& loop : loops) {
        area += signed_area(loop);
        holes += signed_area(loop) < 0 ? 1 : 0;
        std::set<std::pair<double, double>> corners;
        for (const Point& p : loop)
            CHECK(corners.insert({p.x, p.y}).second);
    }
    CHECK(area == doctest::Approx(12));
    CHECK(holes == 2);
}

} // namespace fuelring::plan
