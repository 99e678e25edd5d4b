// SPDX-License-Identifier: Apache-2.0
#include "io/gdal/handles.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/geopackage/outline_loops.hpp"
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>
#include <ogr_api.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string_view>

namespace fuelring {
namespace {

struct GeometryDestroy {
    void operator()(OGRGeometryH g) const noexcept { OGR_G_DestroyGeometry(g); }
};

bool is_valid(const Footprint& polygons)
{
    const Grid grid{{0, 1, 0, 0, 0, -1}, 10, 10};
    const std::string wkb = wkb_multipolygon(polygons, {0, 0}, grid);
    OGRGeometryH shape = nullptr;
    OGR_G_CreateFromWkb(wkb.data(), nullptr, &shape, static_cast<int>(wkb.size()));
    const std::unique_ptr<void, GeometryDestroy> owner{shape};
    return OGR_G_IsValid(shape) == 1;
}

bool all_simple(const Footprint& polygons)
{
    return std::all_of(polygons.loops.begin(), polygons.loops.end(), [](const Loop& loop) {
        std::set<std::pair<double, double>> seen;
        return std::all_of(loop.begin(), loop.end(), [&](Point p) {
            return seen.insert({p.x, p.y}).second;
        });
    });
}

double arc_length_m(const Outline& outline)
{
    double sum = 0;
    for (const Piece& p : outline.pieces)
        if (p.arc)
            sum += (p.t1 - p.t0) * std::max(std::hypot(p.u.x, p.u.y), std::hypot(p.v.x, p.v.y));
    return sum;
}

struct Case {
    std::string_view why;
    Footprint footprint;
};

std::vector<Case> cases(Dice& dice)
{
    return {
        {"house", {{rectangle(0, 0, 10, 8)}}},
        {"star", {{random_star(dice, 14, 3, 15)}}},
        {"hamlet", random_hamlet(dice, 3, 12)},
        {"courtyard", {{rectangle(0, 0, 40, 40), reversed(rectangle(10, 10, 30, 26))}}},
        {"barn in a courtyard",
         {{rectangle(0, 0, 60, 60), reversed(rectangle(10, 10, 50, 50)),
           rectangle(25, 25, 32, 33)}}},
        {"touching in a point", {{rectangle(0, 0, 10, 10), rectangle(10, 10, 20, 20)}}},
        {"touching in a point, as one loop",
         {{{{0, 0}, {10, 0}, {10, 10}, {20, 10}, {20, 20}, {10, 20}, {10, 10}, {0, 10}}}}},
        {"courtyards that touch in a point",
         {{rectangle(0, 0, 40, 40), reversed(rectangle(10, 10, 20, 20)),
           reversed(rectangle(20, 20, 30, 30))}}},
        {"courtyard that touches the wall in a point",
         {{rectangle(0, 0, 20, 20), {{0, 10}, {5, 15}, {10, 10}, {5, 5}}}}},
        {"cells", random_cells(dice, 5, 3, false)},
        {"cells with gaps of 2 r", random_cells(dice, 5, 20, true)},
        {"cells turned", sheared(random_cells(dice, 5, 4, false))},
    };
}

} // namespace

TEST_CASE("the loops of an outline are simple and enclose its area but for what chords cut off")
{
    Dice dice{5};
    for (const Case& c : cases(dice))
        for (const RingStretch& stretch :
             {RingStretch{}, on_slope(2.5, 1, 90), on_slope(1.7, 1.3, 33)}) {
            Outline inner = outline_of(c.footprint);
            for (const double r_m : ring_distances_m) {
                CAPTURE(c.why);
                CAPTURE(r_m);
                const Outline outer = outline_within(c.footprint, r_m, stretch);
                const Footprint ring = ring_between(outer, inner);
                CHECK(all_simple(ring));
                CHECK(is_valid(ring));
                // A chord is at most 1 mm off its arc, so it cuts off less than 1 mm of its length.
                const double exact_m2 = area_m2(outer) - area_m2(inner);
                const double most_m2 =
                    written_chord_m * (arc_length_m(outer) + arc_length_m(inner)) + 1e-9;
                CHECK(std::abs(area_m2(ring) - exact_m2) < most_m2);
                inner = outer;
            }
        }
}

TEST_CASE("chords stay within 1 mm of their arcs and have their ends on them")
{
    const Footprint house{{rectangle(0, 0, 10, 10)}};
    for (const double r_m : ring_distances_m) {
        const std::vector<Loop> loops = loops_of(outline_within(house, r_m));
        REQUIRE(loops.size() == 1);
        double furthest_m = 0;
        const auto distance_m = [](Point p) {
            const double dx = std::max({-p.x, 0.0, p.x - 10});
            const double dy = std::max({-p.y, 0.0, p.y - 10});
            return std::hypot(dx, dy);
        };
        for (std::size_t i = 0; i < loops[0].size(); ++i) {
            const Point a = loops[0][i];
            const Point b = loops[0][(i + 1) % loops[0].size()];
            CHECK(std::abs(distance_m(a) - r_m) < 1e-9);
            furthest_m = std::max(furthest_m, r_m - distance_m(0.5 * (a + b)));
        }
        CHECK(furthest_m <= written_chord_m);
        CHECK(furthest_m > 0.5 * written_chord_m); // and no finer than that asks for
    }
}

TEST_CASE("parts that touch in a point become polygons of their own")
{
    const Footprint two{{rectangle(0, 0, 10, 10), rectangle(10, 10, 20, 20)}};
    const Footprint one{
        {{{0, 0}, {10, 0}, {10, 10}, {20, 10}, {20, 20}, {10, 20}, {10, 10}, {0, 10}}}};
    for (const Footprint& f : {two, one}) {
        const std::vector<Loop> loops = loops_of(outline_of(f));
        REQUIRE(loops.size() == 2);
        for (const Loop& loop : loops)
            CHECK(area_m2(Footprint{{loop}}) == 100);
    }
}

} // namespace fuelring
