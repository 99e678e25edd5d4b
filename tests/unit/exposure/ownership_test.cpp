// SPDX-License-Identifier: Apache-2.0
#include "parcels_fixture.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

const Grid metre_grid = square_grid(1, 2000, 2000);

struct Measured {
    MeasuredStructure measure;
    OwnerSplit split;
};

/// Rings and their split around a footprint whose frame is that of cell (col, row).
template <typename Fuel>
Measured split(const Footprint& roof, const Ownership& owners, Fuel fuel, const RingPlan& plan = {},
               const CellFrame& frame = {1000, 1000})
{
    const FuelWindow sums = window(reach(roof, frame, metre_grid, plan), fuel);
    const RingOutlines outlines = ring_outlines(roof, plan);
    return {measure(roof, outlines, frame, metre_grid, sums, plan),
            *measure_by_owner(roof, outlines, frame, metre_grid, sums, plan,
                              {frame, {}, metre_grid}, owners)
                 .owners};
}

/// Parcels drawn about the structure, moved to where frame (1000, 1000) is on the grid.
Ownership about_structure(std::vector<OwnedShape> parcels)
{
    for (OwnedShape& parcel : parcels)
        for (Loop& loop : parcel.polygon.loops)
            for (Point& p : loop)
                p = p + Point{1000, -1000};
    return ownership(parcels);
}

double sum_of_shares(const OwnerSplit& split, std::size_t ring, std::size_t shares)
{
    double sum = 0;
    for (std::size_t k = 0; k < shares; ++k)
        sum += split.conifer_m2[ring * shares + k];
    return sum;
}

/// The same stretch of boundary, run the other way.
Piece reversed(const Piece& p)
{
    return {p.end, p.start, p.arc, p.centre, p.u, -1 * p.v, -p.t1, -p.t0};
}

} // namespace

TEST_CASE("the shares of every ring add up to its conifer area, whatever the parcels")
{
    std::mt19937_64 rng{12};
    int nudged = 0;
    for (int round = 0; round < 150; ++round) {
        CAPTURE(round);
        const double step = round % 3 == 0 ? 0.5 : 1. / 1024;
        const Footprint roof =
            round % 2 ? rectangle(12, 8, {-3.5, -2}) : random_star(rng, 4 + round % 6, 3, 9);
        const Ownership owners =
            about_structure(random_parcels(rng, 260, 15 + round % 4 * 15, step));
        const std::size_t shares = owners.shares().size();
        const Measured m = split(roof, owners, RandomFuel{static_cast<std::uint64_t>(round)});
        nudged += m.split.nudged ? 1 : 0;
        CHECK(sum_of_shares(m.split, 0, shares) == Approx(m.measure.roof.conifer_m2).epsilon(1e-9));
        for (std::size_t k = 0; k < m.measure.rings.size(); ++k)
            CHECK(sum_of_shares(m.split, k + 1, shares) ==
                  Approx(m.measure.rings[k].conifer_m2).epsilon(1e-9));
    }
    // Half-metre corners touch arcs at their very ends now and then.
    CHECK(nudged <= 2);
}

TEST_CASE("a region bounded by arcs of either turn is split like the ring it is")
{
    std::mt19937_64 rng{56};
    const CellFrame frame{1000, 1000};
    const RingPlan plan;
    for (int round = 0; round < 40; ++round) {
        CAPTURE(round);
        const Footprint roof = random_star(rng, 5 + round % 4, 4, 9);
        const Ownership owners = about_structure(random_parcels(rng, 260, 25, 1. / 1024));
        const FuelWindow sums = window(reach(roof, frame, metre_grid, plan),
                                       RandomFuel{static_cast<std::uint64_t>(round)});
        const RingOutlines outlines = ring_outlines(roof, plan);
        const FrameOnGrid on_grid{frame, {}, metre_grid};
        const auto measured =
            measure_by_owner(roof, outlines, frame, metre_grid, sums, plan, on_grid, owners);
        const std::vector<double> within = within_by_kind(*measured.owners, owners);
        const coverage::Gatherer gatherer{frame, metre_grid, sums, bounds(outlines.within.back())};
        for (std::size_t k = 1; k < outlines.within.size(); ++k) {
            Outline ring = outlines.within[k];
            for (const Piece& piece : outlines.within[k - 1].pieces)
                ring.pieces.push_back(reversed(piece));
            const ConiferByKind split =
                conifer_by_kind(ring, gatherer, metre_grid, on_grid, owners);
            CHECK_FALSE(split.open);
            const double whole = measured.rings[k - 1].conifer_m2;
            CHECK(split.m2 == Approx(whole).epsilon(1e-11));
            for (std::size_t kind = 0; kind < owners.kind_count(); ++kind) {
                const std::size_t at = k * owners.kind_count() + kind;
                CHECK(std::abs(split.of_kind[kind] -
                               (within[at] - within[at - owners.kind_count()])) <=
                      1e-9 * whole + 1e-8);
            }
        }
    }
}
