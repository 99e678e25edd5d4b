// SPDX-License-Identifier: Apache-2.0
#include "support/fuel_fixtures.hpp"
#include "unit/library/refused.hpp"

#include <fuelring/cells_needed.hpp>
#include <fuelring/surface.hpp>

#include <doctest/doctest.h>

#include <limits>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// A house, and everything that measuring it takes.
struct Example {
    Footprint house = rectangle(10, 8);
    Grid grid = square_grid(1, 400, 400);
    CellFrame frame{200, 200};
    RingPlan plan{{1.5, 10}, {1, 1}};
    RingOutlines outlines = ring_outlines(house, plan);
    CellRect rect = cells_needed(outlines, frame, grid);
    FuelWindow fuel = window(rect, [](auto, auto) { return grass; });

    void measure_it() const { (void)measure(house, outlines, frame, grid, fuel, plan); }
};

/// Measures the example after a change of it.
template <typename Change>
std::function<void()> changed(Change&& change)
{
    return [change] {
        Example example;
        change(example);
        example.measure_it();
    };
}

} // namespace

TEST_CASE("a plan asks for distances that rise and as many weights")
{
    struct Case {
        std::string_view why;
        RingPlan plan;
        std::string_view says;
    };
    const Case cases[] = {
        {"no rings", {{}, {}}, "rings.outer_m: at least one distance"},
        {"falling", {{10, 1.5}, {1, 1}}, "must be above 0 and rise, 1.5 does not"},
        {"equal", {{10, 10}, {1, 1}}, "10 does not"},
        {"from 0", {{0, 10}, {1, 1}}, "0 does not"},
        {"NaN", {{1, not_a_number}, {1, 1}}, "nan does not"},
        {"endless", {{1, infinite}, {1, 1}}, "inf does not"},
        {"too far", {{1, 2e9}, {1, 1}}, "1e+09 is the most"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const Refused rows[] = {
            {"the plan", [&c] { c.plan.require_valid(); }, c.says},
            {"its outlines", [&c] { (void)ring_outlines(Example{}.house, c.plan); }, c.says}};
        check_refused(rows);
    }
    const Refused weights[] = {
        {"fewer",
         [] {
             RingPlan{{1, 2}, {1}}.require_valid();
         },
         "1 weights for 2 distances"},
        {"below 0",
         [] {
             RingPlan{{1, 2}, {2, -1}}.require_valid();
         },
         "-1 is not"},
        {"NaN",
         [] {
             RingPlan{{1, 2}, {2, not_a_number}}.require_valid();
         },
         "nan is not"},
        {"none",
         [] {
             RingPlan{{1, 2}, {0, 0}}.require_valid();
         },
         "at least one weight"},
        {"endless sum",
         [] {
             RingPlan{{1, 2}, {1e308, 1e308}}.require_valid();
         },
         "not finite"},
        {"widest of none",
         [] {
             (void)RingPlan{{}, {}}.widest_m();
         },
         ""},
    };
    check_refused(weights);
    CHECK_THROWS_AS((void)RingPlan({{}, {}}).widest_m(), std::out_of_range);
}

TEST_CASE("a measurement asks for outlines, a window and a plan that belong together")
{
    CHECK_NOTHROW(Example{}.measure_it());
    const Refused rows[] = {
        {"a NaN vertex",
         [] {
             (void)ring_outlines({{{{0, 0}, {9, not_a_number}, {9, 9}}}}, {});
         },
         "loop 0 at (9, nan)"},
        {"an empty footprint", [] { (void)ring_outlines({}, {}); }, "it has no loops"},
        {"another house", changed([](Example& e) { e.house = rectangle(10, 9); }),
         "outlines are not those of the footprint"},
        {"no house", changed([](Example& e) { e.house = {}; }), "not those of the footprint"},
        {"one outline less", changed([](Example& e) { e.outlines.within.pop_back(); }),
         "one for each distance of the plan"},
        {"no outlines", changed([](Example& e) { e.outlines = {}; }), "one for each distance"},
        {"no rings", changed([](Example& e) {
             e.plan = {{}, {}};
         }),
         "at least one distance"},
        {"fewer weights", changed([](Example& e) { e.plan.weight.pop_back(); }),
         "1 weights for 2 distances"},
        {"an open outline", changed([](Example& e) { e.outlines.within[1].pieces.pop_back(); }),
         "do not close"},
        {"a small window", changed([](Example& e) {
             e.fuel = window(widened(e.rect, -1), [](auto, auto) { return grass; });
         }),
         "an outline leaves the fuel window"},
        {"a frame elsewhere", changed([](Example& e) {
             e.frame = {0, 0};
         }),
         "leaves the fuel"},
        {"a frame far from the house",
         [] {
             Example e;
             Footprint away = rectangle(10, 8, {1000, 0});
             const RingOutlines outlines = ring_outlines(away, e.plan);
             const FuelWindow fuel =
                 window(cells_needed(outlines, e.frame, e.grid), [](auto, auto) { return grass; });
             (void)measure(away, outlines, e.frame, e.grid, fuel, e.plan);
         },
         "does not contain the frame's cell"},
        {"cells of no outlines", [] { (void)cells_needed({}, {}, square_grid(1, 9, 9)); },
         "there are no outlines"},
        {"cells too far to count",
         [] {
             (void)cells_needed(ring_outlines(Example{}.house, {{1e8}, {1}}), {},
                                square_grid(1e-9, 9, 9));
         },
         "Grid::cells_of: the box"},
    };
    check_refused(rows);
}

TEST_CASE("figures of rings ask for a plan of as many rings")
{
    const Example e;
    const StructureMeasure m = measure(e.house, e.outlines, e.frame, e.grid, e.fuel, e.plan);
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    const auto weighing = [&](std::vector<double> weight) {
        return [&m, plan = RingPlan{{1.5, 10}, std::move(weight)}] { (void)exposure(m, plan); };
    };
    const Refused rows[] = {
        {"fewer weights",
         [&] {
             (void)exposure(m, {{1.5}, {1}});
         },
         "not as many weights"},
        {"more weights", [&] { (void)exposure(m, RingPlan{}); }, "not as many weights"},
        {"points", [&] { (void)points_per_m2(m, RingPlan{}); }, "not as many weights"},
        {"a weight that is not a number", weighing({nan, 1}), "weights must be finite, 0 or more"},
        {"a weight below 0", weighing({-1, 3}), "weights must be finite, 0 or more"},
        {"weights too large", weighing({1e308, 1e308}), "the sum of the weights is not finite"},
        {"points of such",
         [&] {
             (void)points_per_m2(m, {{1.5, 10}, {nan, 1}});
         },
         "weights must be finite, 0 or more"},
        {"no ring k", [&] { (void)within_distance(m, 2); }, "ring 2 of 2"},
        {"no rings", [] { (void)within_distance({}, 0); }, "ring 0 of 0"},
    };
    check_refused(rows);
    CHECK(exposure(m, e.plan) == 0);
    CHECK(within_distance(m, 1).ring_m2 ==
          doctest::Approx(m.rings[0].ring_m2 + m.rings[1].ring_m2));
}

TEST_CASE("a surface is begun, added to and finished in this order, and read within its cells")
{
    const Example e;
    const std::vector<double> points{1, 0.5};
    const auto add = [&e](const RingOutlines& outlines, std::vector<double> p, CellFrame frame) {
        return [=, grid = e.grid] {
            SurfaceTile tile;
            tile.begin({150, 150, 100, 100});
            tile.add(outlines, frame, grid, p);
        };
    };
    RingOutlines open = e.outlines;
    open.within[1].pieces.pop_back();
    const Refused rows[] = {
        {"no cells",
         [] {
             SurfaceTile{}.begin({0, 0, 0, 4});
         },
         "the rectangle has no cells"},
        {"too large",
         [] {
             SurfaceTile{}.begin({0, 0, std::int64_t{1} << 40, 4});
         },
         "too large"},
        {"add before begin", [&] { SurfaceTile{}.add(e.outlines, e.frame, e.grid, points); },
         "before begin"},
        {"finish before begin", [] { SurfaceTile{}.finish(); }, "before begin"},
        {"finish twice",
         [] {
             SurfaceTile tile;
             tile.begin({0, 0, 4, 4});
             tile.finish();
             tile.finish();
         },
         "a second time"},
        {"add after finish",
         [&] {
             SurfaceTile tile;
             tile.begin({0, 0, 4, 4});
             tile.finish();
             tile.add(e.outlines, e.frame, e.grid, points);
         },
         "after finish"},
        {"fewer points", add(e.outlines, {1}, e.frame), "as many outlines as points"},
        {"no outlines", add({}, {}, e.frame), "as many outlines as points"},
        {"below 0", add(e.outlines, {1, -1}, e.frame), "points of a ring are negative"},
        {"NaN", add(e.outlines, {1, not_a_number}, e.frame), "not finite"},
        {"too many", add(e.outlines, {1, 1e30}, e.frame), "too many"},
        {"an open outline", add(open, points, e.frame), "do not close"},
        {"read before begin", [] { (void)SurfaceTile{}.points(0, 0); }, "outside the rectangle"},
    };
    check_refused(rows);
    SurfaceTile tile;
    tile.begin({150, 150, 100, 100});
    tile.add(e.outlines, e.frame, e.grid, points);
    tile.finish();
    CHECK(tile.reached(200, 200));
    for (const auto& [row, col] : {std::pair{149, 150}, {250, 150}, {150, 149}, {150, 250}}) {
        CHECK_THROWS_AS((void)tile.points(row, col), std::out_of_range);
        CHECK_THROWS_AS((void)tile.ring_reaches(row, col), std::out_of_range);
        CHECK_THROWS_AS((void)tile.reached(row, col), std::out_of_range);
    }
}
