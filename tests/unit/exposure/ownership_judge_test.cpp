// SPDX-License-Identifier: Apache-2.0

// Splits judged by GEOS: rings tessellated, intersected with each parcel, on ground that is conifer
// everywhere.
#include "parcels_fixture.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>
#include <geos_c.h>

#include <memory>

using namespace fuelring;
using namespace fuelring::test;

namespace {

const Grid judged_grid = square_grid(1, 2000, 2000);

class Judge {
public:
    Judge() : geos_{GEOS_init_r()} {}
    ~Judge() { GEOS_finish_r(geos_); }
    Judge(const Judge&) = delete;
    Judge& operator=(const Judge&) = delete;

    using Shape = std::shared_ptr<GEOSGeometry>;

    Shape polygon(const Loop& shell, const std::vector<Loop>& holes = {}) const
    {
        std::vector<GEOSGeometry*> rings;
        for (const Loop& hole : holes)
            rings.push_back(ring(hole));
        return own(GEOSGeom_createPolygon_r(geos_, ring(shell), rings.data(),
                                            static_cast<unsigned>(rings.size())));
    }
    Shape of(const Footprint& f) const
    {
        return polygon(f.loops.front(), {f.loops.begin() + 1, f.loops.end()});
    }
    double shared(const Shape& a, const Shape& b) const
    {
        const Shape both = own(GEOSIntersection_r(geos_, a.get(), b.get()));
        double area = 0;
        GEOSArea_r(geos_, both.get(), &area);
        return area;
    }

private:
    Shape own(GEOSGeometry* g) const
    {
        REQUIRE(g != nullptr);
        return {g, [this](GEOSGeometry* old) { GEOSGeom_destroy_r(geos_, old); }};
    }
    GEOSGeometry* ring(Loop loop) const
    {
        loop.push_back(loop.front());
        GEOSCoordSequence* s = GEOSCoordSeq_copyFromBuffer_r(
            geos_, &loop.front().x, static_cast<unsigned>(loop.size()), 0, 0);
        return GEOSGeom_createLinearRing_r(geos_, s);
    }
    GEOSContextHandle_t geos_;
};

/// A convex outline, whose pieces follow each other, as a polygon: `n` chords an arc.
Loop tessellated(const Outline& outline, int n)
{
    Loop loop;
    for (const Piece& p : outline.pieces) {
        loop.push_back(p.start);
        for (int k = 1; p.arc && k < n; ++k) {
            const double t = p.t0 + (p.t1 - p.t0) * k / n;
            loop.push_back(p.centre + std::cos(t) * p.u + std::sin(t) * p.v);
        }
    }
    return loop;
}

} // namespace

TEST_CASE("the shares are those of polygons intersected with every parcel")
{
    const Judge judge;
    std::mt19937_64 rng{34};
    const CellFrame frame{1000, 1000};
    const RingPlan plan{{1.5, 10, 30}, {1, 1, 1}};
    for (int round = 0; round < 40; ++round) {
        CAPTURE(round);
        const double step = round % 4 == 0 ? 0.5 : 1. / 1024;
        const Footprint roof = rectangle(12, 8, {-4, -3.5});
        std::vector<OwnedShape> here = random_parcels(rng, 100, 12 + round % 3 * 6, step);
        std::vector<OwnedShape> parcels = here;
        for (OwnedShape& parcel : parcels)
            for (Loop& loop : parcel.polygon.loops)
                for (Point& p : loop)
                    p = p + Point{1000, -1000};
        const Ownership owners = ownership(parcels);
        const std::size_t shares = owners.shares().size();
        const FuelWindow sums = window(reach(roof, frame, judged_grid, plan),
                                       [](std::int64_t, std::int64_t) { return conifer; });
        const RingOutlines outlines = ring_outlines(roof, plan);
        const OwnerSplit split = *measure_by_owner(roof, outlines, frame, judged_grid, sums, plan,
                                                   {frame, {}, judged_grid}, owners)
                                      .owners;
        std::vector<double> inner(shares, 0.0);
        for (std::size_t k = 0; k < outlines.within.size(); ++k) {
            CAPTURE(k);
            const Loop chords = tessellated(outlines.within[k], 400);
            const auto region = judge.polygon(chords);
            std::vector<double> outer(shares, 0.0);
            double in_parcels = 0;
            for (std::size_t p = 0; p < here.size(); ++p) {
                const double area = judge.shared(region, judge.of(here[p].polygon));
                in_parcels += area;
                outer[static_cast<std::size_t>(owners.share_of(
                    static_cast<std::int32_t>(p), split.own.value_or(no_parcel)))] += area;
            }
            const double whole = area_m2(Footprint{{chords}});
            outer.back() = whole - in_parcels;
            // What the chords of this outline and the one before cut off, and rounding of GEOS.
            const double inside = k == 0 ? 0 : area_m2(outlines.within[k - 1]);
            const double slack = 2 * (area_m2(outlines.within[k]) - whole) +
                                 1e-9 * (area_m2(outlines.within[k]) + inside);
            for (std::size_t s = 0; s < shares; ++s) {
                CAPTURE(s);
                CHECK(std::abs(split.conifer_m2[k * shares + s] - (outer[s] - inner[s])) <= slack);
            }
            inner = outer;
        }
    }
}
