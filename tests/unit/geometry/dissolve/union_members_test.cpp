// SPDX-License-Identifier: Apache-2.0

// What single structures add to a union: on slopes, in groups, in frames of other scales.
#include "geometry/dissolve/union_by_geos.hpp"
#include "geometry/offset/capsules.hpp"
#include "village.hpp"

#include <doctest/doctest.h>

#include <array>
#include <string_view>

namespace fuelring {

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

} // namespace fuelring
