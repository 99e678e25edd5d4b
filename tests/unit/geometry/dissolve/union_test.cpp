// SPDX-License-Identifier: Apache-2.0

// The union of many structures' surroundings, as the sum of what each adds to those before it.
// The judges: the outline of all of them taken as one footprint, and GEOS's union of capsules.
#include "geometry/dissolve/incremental_union.hpp"
#include "geometry/dissolve/union_by_geos.hpp"
#include "geometry/offset/capsules.hpp"
#include "geometry/trig_polynomial.hpp"
#include "unit/geometry/shapes.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <string_view>

namespace fuelring {
namespace {

constexpr Point cell_m{1, 1};

/// Structures in frames of their own, made from loops of one frame.
class Village {
public:
    void add(Footprint footprint, std::uint32_t group = 0, const RingStretch& stretch = {})
    {
        const Box box = bounds(footprint);
        const Point cell{std::floor(box.min.x), std::floor(box.min.y)};
        footprints_.push_back(moved(std::move(footprint), -1 * cell));
        stretches_.push_back(stretch);
        members_.push_back({&footprints_.back(), {cell, {1, 1}}, &stretches_.back(), group});
    }
    explicit Village(const Footprint& parts = {}, const RingStretch& stretch = {})
    {
        for (const Loop& loop : parts.loops)
            add({{loop}}, 0, stretch);
    }
    Village(const Village&) = delete;
    Village& operator=(const Village&) = delete;
    StructureIndex members() const { return {members_, cell_m}; }
    std::size_t size() const { return members_.size(); }

private:
    std::deque<Footprint> footprints_;
    std::deque<RingStretch> stretches_;
    std::vector<IndexedStructure> members_;
};

struct Sum {
    double area_m2 = 0;
    int not_exact = 0;
    double worst_closure_m = 0;
};

Sum united(const Village& village, double r_m)
{
    const StructureIndex members = village.members();
    IncrementalUnion regions{members, r_m, true};
    Sum sum;
    for (std::size_t i = 0; i < village.size(); ++i) {
        const AddedRegion added = regions.among_all(i);
        sum.area_m2 += area_m2(added.outline);
        sum.not_exact += added.method == OutlineMethod::exact ? 0 : 1;
        sum.worst_closure_m = std::max(sum.worst_closure_m, closure_error_m(added.outline));
    }
    return sum;
}

} // namespace

TEST_CASE("what each house of a hamlet adds makes up what lies within r of the hamlet")
{
    Dice dice{7};
    int trials = 0;
    for (int trial = 0; trial < 50; ++trial) {
        const Footprint hamlet = random_hamlet(dice, 2 + trial % 4, 9 + trial % 5);
        const Village village{hamlet};
        for (const double r_m : ring_distances_m) {
            CAPTURE(trial);
            CAPTURE(r_m);
            const Outline together = outline_within(hamlet, r_m);
            const Sum sum = united(village, r_m);
            CHECK(sum.not_exact == 0);
            CHECK(sum.worst_closure_m < 1e-9);
            CHECK(std::abs(sum.area_m2 - area_m2(together)) < 1e-12 * area_m2(together));
            if (trial < 5) {
                // The judge lacks what its chords cut off, and nothing else.
                const double lacking =
                    sum.area_m2 - area_m2(outline_of_capsules(hamlet, Disc{r_m}));
                CHECK(lacking > -1e-9 * sum.area_m2);
                CHECK(lacking <
                      chord_loss_m2(together, capsule_quadrant_pieces) + 1e-9 * sum.area_m2);
            }
            ++trials;
        }
    }
    CHECK(trials == 200);
}

TEST_CASE("walls in one line, shared walls, touching corners and copies are counted once")
{
    struct Case {
        std::string_view why;
        std::vector<Loop> houses;
        double area_m2;      ///< of their union
        double perimeter_m2; ///< of its convex outline, so that Steiner's formula gives the rest
    };
    const Case cases[] = {
        {"a row of four",
         {rectangle(0, 0, 10, 8), rectangle(10, 0, 16, 8), rectangle(16, 0, 31, 8),
          rectangle(31, 0, 40, 8)},
         320,
         96},
        {"in another order",
         {rectangle(16, 0, 31, 8), rectangle(31, 0, 40, 8), rectangle(0, 0, 10, 8),
          rectangle(10, 0, 16, 8)},
         320,
         96},
        {"four about one corner",
         {rectangle(0, 0, 9, 9), rectangle(9, 9, 20, 20), rectangle(0, 9, 9, 20),
          rectangle(9, 0, 20, 9)},
         400,
         80},
        {"three copies",
         {rectangle(3, 3, 13, 13), rectangle(3, 3, 13, 13), rectangle(3, 3, 13, 13)},
         100,
         40},
        {"one inside another", {rectangle(4, 4, 6, 6), rectangle(0, 0, 10, 10)}, 100, 40},
        {"overlapping", {rectangle(0, 0, 10, 10), rectangle(6, 0, 20, 10)}, 200, 60},
        {"a wall that is split on one side only",
         {rectangle(0, 0, 10, 5), rectangle(0, 5, 4, 10), rectangle(4, 5, 10, 10)},
         100,
         40},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        Village village;
        for (const Loop& loop : c.houses)
            village.add({{loop}});
        for (const double r_m : {0.0, 1.5, 10.0, 30.0, 100.0}) {
            CAPTURE(r_m);
            const Sum sum = united(village, r_m);
            const double exact_m2 = c.area_m2 + c.perimeter_m2 * r_m + pi * r_m * r_m;
            CHECK(sum.not_exact == 0);
            CHECK(std::abs(sum.area_m2 - exact_m2) < 1e-12 * exact_m2);
        }
    }
}

TEST_CASE("terraces whose walls miss each other by what files round to are united all the same")
{
    // Vertices of a turned terrace, each house rounded on its own to 2^-30 m or shaken by up to
    // 1e-8 m: walls in one line and shared walls agree to that only.
    Dice dice{31};
    int regions = 0;
    int not_exact = 0;
    for (int trial = 0; trial < 60; ++trial) {
        const double angle = dice.between(0, 2 * pi);
        const double shake_m = std::pow(10, -8 - trial % 6);
        Village village;
        for (int k = 0; k < 6; ++k) {
            Loop house = turned(rectangle(7 * k, 0, 7 * k + 7, 9), angle);
            for (Point& p : house)
                if (trial % 6 == 5)
                    p = {std::ldexp(std::round(std::ldexp(p.x, 30)), -30),
                         std::ldexp(std::round(std::ldexp(p.y, 30)), -30)};
                else
                    p = p + Point{dice.between(-shake_m, shake_m), dice.between(-shake_m, shake_m)};
            village.add({{house}});
        }
        for (const double r_m : {0.0, 1.5, 10.0, 100.0}) {
            CAPTURE(trial);
            CAPTURE(r_m);
            const Sum sum = united(village, r_m);
            regions += static_cast<int>(village.size());
            not_exact += sum.not_exact;
            // Where the exact pieces do not close, r (1 + 1e-9) may stand in.
            const double exact_m2 = 42 * 9 + 102 * r_m + pi * r_m * r_m;
            const double slack_m2 =
                (102 + 2 * pi * r_m) * (2e-8 + 1e-9 * r_m * sum.not_exact) + 7 * 9 * 2e-8;
            CHECK(std::abs(sum.area_m2 - exact_m2) < slack_m2);
            CHECK(sum.worst_closure_m < 1e-9);
        }
    }
    CAPTURE(not_exact);
    CHECK(regions == 60 * 4 * 6);
    CHECK(not_exact > 0); // the ways out are taken
    CHECK(not_exact * 10 < regions);
}

TEST_CASE("houses on a drawn lattice, all touching or exactly 2 r apart, are united")
{
    Dice dice{11};
    int not_exact = 0;
    int regions = 0;
    for (int trial = 0; trial < 40; ++trial) {
        // Every cell a house of its own, walls shared; the judge is the outline of all cells.
        const Footprint cells = random_cells(dice, 5, 5, true);
        Village village;
        for (int row = 0; row < 5; ++row)
            for (int col = 0; col < 5; ++col)
                if (const Point middle{5 * col + 2.5, 5 * row + 2.5}; contains(cells, middle))
                    village.add({{rectangle(5 * col, 5 * row, 5 * col + 5, 5 * row + 5)}});
        CHECK(std::abs(united(village, 0).area_m2 - area_m2(cells)) < 1e-10);
        for (const double r_m : {1.5, 2.5, 5.0, 7.5, 10.0, 30.0}) {
            CAPTURE(trial);
            CAPTURE(r_m);
            const Sum sum = united(village, r_m);
            not_exact += sum.not_exact;
            regions += static_cast<int>(village.size());
            const double exact_m2 = area_m2(outline_within(cells, r_m));
            // r (1 + 1e-9) moves at most each outline by 1e-9 r.
            const double nudged_m2 = sum.not_exact * 1e-9 * r_m * (20 + 2 * pi * r_m);
            CHECK(std::abs(sum.area_m2 - exact_m2) < 1e-12 * exact_m2 + nudged_m2);
        }
    }
    CHECK(regions > 2000);
    CHECK(not_exact * 100 < regions);
}

TEST_CASE("a hamlet on one slope is united as what lies within r of it there")
{
    Dice dice{23};
    for (int trial = 0; trial < 20; ++trial) {
        const Footprint hamlet = random_hamlet(dice, 3, 9 + trial % 5);
        const double aspect = dice.between(0, 2 * pi);
        const RingStretch stretch{
            dice.between(1, 2.5), dice.between(1, 1.6), {std::cos(aspect), std::sin(aspect)}};
        const Village village{hamlet, stretch};
        for (const double r_m : ring_distances_m) {
            CAPTURE(trial);
            CAPTURE(r_m);
            const double together_m2 = area_m2(outline_within(hamlet, r_m, stretch));
            const Sum sum = united(village, r_m);
            CHECK(sum.not_exact == 0);
            CHECK(std::abs(sum.area_m2 - together_m2) < 1e-12 * together_m2);
        }
    }
}

TEST_CASE("houses on different slopes are united as GEOS unites their outlines")
{
    Dice dice{29};
    for (int trial = 0; trial < 8; ++trial) {
        Village village;
        for (const Loop& loop : random_hamlet(dice, 3, 10).loops) {
            const double aspect = dice.between(0, 2 * pi);
            village.add(
                {{loop}}, 0,
                {dice.between(1, 2.5), dice.between(1, 1.6), {std::cos(aspect), std::sin(aspect)}});
        }
        const StructureIndex members = village.members();
        for (const double r_m : {1.5, 10.0, 60.0}) {
            CAPTURE(trial);
            CAPTURE(r_m);
            IncrementalUnion regions{members, r_m, true};
            double exact_m2 = 0;
            double judged_m2 = 0;
            double chords_m2 = 0;
            std::vector<Outline> before;
            for (std::size_t i = 0; i < village.size(); ++i) {
                const AddedRegion added = regions.among_all(i);
                CHECK(added.method == OutlineMethod::exact);
                exact_m2 += area_m2(added.outline);
                // In the frame of the first.
                Outline own = outline_within(*members[i].footprint, r_m, members.stretch_of(i));
                for (Piece& piece : own.pieces)
                    piece = members.map(i, 0)(piece);
                judged_m2 += area_m2(difference_by_geos(own, before));
                chords_m2 += chord_loss_m2(own, capsule_quadrant_pieces);
                before.push_back(std::move(own));
            }
            // The judge's union lacks what chords cut off along its boundary: parts of these.
            CHECK(exact_m2 - judged_m2 > -1e-9 * exact_m2);
            CHECK(exact_m2 - judged_m2 < chords_m2 + 1e-9 * exact_m2);
        }
    }
}

TEST_CASE("a structure adds to its own group as if the others were not there")
{
    Dice dice{3};
    Village village;
    Village odd;
    Village even;
    const Footprint hamlet = random_hamlet(dice, 4, 12);
    for (std::size_t i = 0; i < hamlet.loops.size(); ++i) {
        village.add({{hamlet.loops[i]}}, static_cast<std::uint32_t>(i % 2));
        (i % 2 == 0 ? even : odd).add({{hamlet.loops[i]}});
    }
    const StructureIndex members = village.members();
    for (const double r_m : ring_distances_m) {
        CAPTURE(r_m);
        IncrementalUnion regions{members, r_m, false};
        std::array<double, 2> sum_m2{};
        int apart = 0;
        for (std::size_t i = 0; i < village.size(); ++i) {
            const auto region = regions.among_group(i);
            apart += region ? 1 : 0;
            sum_m2[i % 2] += area_m2(region ? region->outline : regions.among_all(i).outline);
        }
        CHECK((r_m < 5 || apart > 0));
        // Cuts may fall in other places where other neighbours were looked at.
        CHECK(std::abs(sum_m2[0] - united(even, r_m).area_m2) < 1e-12 * sum_m2[0]);
        CHECK(std::abs(sum_m2[1] - united(odd, r_m).area_m2) < 1e-12 * sum_m2[1]);
    }
}

TEST_CASE("what is whole is the structure's own outline, what is covered is nothing")
{
    Village village;
    village.add({{rectangle(0, 0, 10, 10)}});
    village.add({{rectangle(100, 0, 110, 10)}});
    village.add({{rectangle(2, 2, 3, 3)}});
    village.add({{rectangle(12, 0, 22, 10)}});
    const StructureIndex members = village.members();
    IncrementalUnion regions{members, 10, false};
    CHECK(regions.among_all(0).kind == AddedRegion::Kind::whole);
    CHECK(regions.among_all(1).kind == AddedRegion::Kind::whole);
    CHECK(regions.among_all(2).kind == AddedRegion::Kind::nothing);
    CHECK(regions.among_all(2).outline.pieces.empty());
    const AddedRegion part = regions.among_all(3);
    CHECK(part.kind == AddedRegion::Kind::part);
    // Two squares 2 m apart: rectangle 22 x 10 less what sinks in between the arcs, twice
    // 2 x 10 - 2 times the area under an arc of 10 m over its last metre.
    const double under_arc_m2 =
        (10 * std::sqrt(99.0) * 0 + std::sqrt(99.0) + 100 * std::asin(0.1)) / 2;
    const double together_m2 = 220 + 64 * 10 + pi * 100 - 2 * (2 * 10 - 2 * under_arc_m2);
    CHECK(std::abs(area_m2(part.outline) - (together_m2 - (100 + 400 + pi * 100))) < 1e-9);
}

TEST_CASE("structures whose frames have other scales are united on the grid they share")
{
    // Two copies of one square, the second seen at half the scale: metres twice as long on the
    // grid.
    Village village;
    const Footprint large{{rectangle(0, 0, 10, 10)}};
    const Footprint small{{rectangle(0, 0, 5, 5)}};
    const StructureIndex members{{{&large, {{0, 0}, {1, 1}}, {}, 0},
                                  {&small, {{0, 0}, {2, 2}}, {}, 0},
                                  {&small, {{30, 0}, {2, 2}}, {}, 0}},
                                 cell_m};
    IncrementalUnion roofs{members, 0, false};
    CHECK(roofs.among_all(1).kind == AddedRegion::Kind::nothing);
    IncrementalUnion regions{members, 10, false};
    CHECK(regions.among_all(0).kind == AddedRegion::Kind::whole);
    // In its own metres: a square of 5 within 10 m, less one of 5 within 5 m.
    CHECK(std::abs(area_m2(regions.among_all(1).outline) -
                   (20 * 10 + pi * 100 - 20 * 5 - pi * 25)) < 1e-9);
    // The third reaches the others: circles of 10 and 20 units on the grid cross.
    CHECK(regions.among_all(2).kind == AddedRegion::Kind::part);
}

TEST_CASE("a trigonometric polynomial of degree 2 gives its roots, up to four a turn")
{
    Dice dice{5};
    int found_most = 0;
    for (int trial = 0; trial < 500; ++trial) {
        const TrigPolynomial f{dice.between(-0.5, 0.5), dice.between(-1, 1), dice.between(-1, 1),
                               dice.between(-1, 1), dice.between(-1, 1)};
        std::vector<double> found;
        roots(f, -1, 2 * pi - 1, found);
        int changes = 0; // of sign, on a fine comb
        for (int k = 0; k < 20000; ++k)
            changes += (f(-1 + 2 * pi * k / 20000) > 0) != (f(-1 + 2 * pi * (k + 1) / 20000) > 0);
        CAPTURE(trial);
        CHECK(static_cast<int>(found.size()) == changes);
        for (const double t : found)
            CHECK(std::abs(f(t)) < 1e-14 * 8);
        found_most = std::max(found_most, static_cast<int>(found.size()));
    }
    CHECK(found_most == 4);
}

} // namespace fuelring
