// SPDX-License-Identifier: Apache-2.0

// Fuel within r of any house of a cluster. The judge is GEOS: its union of capsules, cut by every
// cell, each share counted with the cell's fuel. It can only lack what its chords cut off.
#include "coverage/gather.hpp"
#include "geometry/dissolve/incremental_union.hpp"
#include "geometry/offset/capsules.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>
#include <geos_c.h>

#include <functional>
#include <memory>
#include <span>
#include <stdexcept>

using namespace fuelring;
using namespace fuelring::test;

namespace {

class Judge {
public:
    explicit Judge(const Outline& lines) : context_(GEOS_init_r())
    {
        // Outlines of capsules are chains of lines: shells and holes, one after the other.
        std::vector<GEOSGeometry*> rings;
        for (auto first = lines.pieces.begin(); first != lines.pieces.end();) {
            auto last = first;
            while (!(last->end == first->start))
                ++last;
            rings.push_back(ring({first, last + 1}));
            first = last + 1;
        }
        const Geometry all = own(GEOSGeom_createCollection_r(
            context_, GEOS_MULTILINESTRING, rings.data(), static_cast<unsigned>(rings.size())));
        region_ = own(GEOSBuildArea_r(context_, all.get()));
    }
    Judge(const Judge&) = delete;
    Judge& operator=(const Judge&) = delete;
    ~Judge()
    {
        region_.reset();
        GEOS_finish_r(context_);
    }
    double area_m2() const { return area(region_.get()); }
    /// Areas of the region in the squares of a row from `low` to the right.
    std::vector<double> areas_along(Point low, double side_m, std::int64_t count) const
    {
        const double right = low.x + side_m * static_cast<double>(count);
        const Geometry strip =
            own(GEOSClipByRect_r(context_, region_.get(), low.x, low.y, right, low.y + side_m));
        std::vector<double> areas;
        for (std::int64_t k = 0; k < count; ++k, low.x += side_m)
            areas.push_back(area(own(GEOSClipByRect_r(context_, strip.get(), low.x, low.y,
                                                      low.x + side_m, low.y + side_m))
                                     .get()));
        return areas;
    }

private:
    using Geometry = std::unique_ptr<GEOSGeometry, std::function<void(GEOSGeometry*)>>;
    Geometry own(GEOSGeometry* g) const
    {
        if (!g)
            throw std::runtime_error{"GEOS failed"};
        return {g, [this](GEOSGeometry* p) { GEOSGeom_destroy_r(context_, p); }};
    }
    GEOSGeometry* ring(std::span<const Piece> pieces) const
    {
        GEOSCoordSequence* seq =
            GEOSCoordSeq_create_r(context_, static_cast<unsigned>(pieces.size() + 1), 2);
        for (unsigned i = 0; i <= pieces.size(); ++i) {
            const Point p = pieces[i % pieces.size()].start;
            GEOSCoordSeq_setXY_r(context_, seq, i, p.x, p.y);
        }
        return GEOSGeom_createLineString_r(context_, seq);
    }
    double area(const GEOSGeometry* g) const
    {
        double found = 0;
        if (GEOSArea_r(context_, g, &found) != 1)
            throw std::runtime_error{"GEOS failed"};
        return found;
    }

    GEOSContextHandle_t context_;
    Geometry region_;
};

/// Houses apart from each other, all in the frame of cell (0, 0).
Footprint random_cluster(std::mt19937_64& rng, int houses)
{
    std::uniform_real_distribution<double> shift{-1.5, 1.5};
    Footprint all;
    for (int k = 0; k < houses; ++k) {
        const Point centre{40 + 15.0 * (k % 3) + shift(rng), -40 - 15.0 * (k / 3) + shift(rng)};
        all.loops.push_back(random_star(rng, 4 + k % 5, 2, 6, centre).loops.front());
    }
    return all;
}

} // namespace

TEST_CASE("fuel within r of a cluster is what the reference library's union of capsules covers")
{
    std::mt19937_64 rng{17};
    constexpr double cell_m = 4;
    constexpr std::int64_t side = 27; // cells
    constexpr double distances_m[] = {1.5, 6, 10, 20};
    const Grid grid = square_grid(cell_m, side, side);
    const std::vector<FuelSum> per_class = contributions(classes());
    int clusters = 0;
    for (; clusters < 50; ++clusters) {
        CAPTURE(clusters);
        const Footprint cluster = random_cluster(rng, 3 + clusters % 5);
        const double r_m = distances_m[clusters % 4];
        const RandomFuel fuel{static_cast<std::uint64_t>(clusters)};

        // Ours: every house in a frame of its own, what it adds summed up.
        std::vector<Footprint> houses;
        std::vector<CellFrame> frames;
        for (const Loop& loop : cluster.loops) {
            frames.push_back(grid.frame_at(loop.front()));
            Footprint house{{loop}};
            for (Point& p : house.loops.front())
                p = grid.to_local(frames.back(), p);
            houses.push_back(std::move(house));
        }
        std::vector<IndexedStructure> members;
        for (std::size_t i = 0; i < houses.size(); ++i)
            members.push_back(
                {&houses[i],
                 {{static_cast<double>(frames[i].col), -static_cast<double>(frames[i].row)},
                  {1, 1}},
                 nullptr,
                 0});
        const StructureIndex all{members, {cell_m, cell_m}};
        IncrementalUnion regions{all, r_m, false};
        const FuelWindow sums = window(CellRect{0, 0, side, side}, fuel);
        double ours_m2 = 0;
        double ours_conifer_m2 = 0;
        for (std::size_t i = 0; i < houses.size(); ++i) {
            const AddedRegion added = regions.among_all(i);
            CHECK(added.method == OutlineMethod::exact);
            if (added.kind == AddedRegion::Kind::nothing)
                continue;
            const coverage::Gatherer gatherer{frames[i], grid, sums, bounds(added.outline)};
            ours_conifer_m2 += gatherer.integrate(added.outline).conifer * cell_m * cell_m;
            ours_m2 += area_m2(added.outline);
        }

        const Judge judge{outline_of_capsules(cluster, Disc{r_m})};
        double judged_conifer_m2 = 0;
        for (std::int64_t row = 0; row < side; ++row) {
            const std::vector<double> areas_m2 =
                judge.areas_along(grid.corner(0, row + 1), cell_m, side);
            for (std::int64_t col = 0; col < side; ++col)
                judged_conifer_m2 += areas_m2[static_cast<std::size_t>(col)] *
                                     per_class[fuel(row, col)].conifer / whole_share;
        }
        // All arcs on the boundary are of radius r. Of each the chords cut off segments of a 1024th
        // of a turn, at the ends parts of them: with at most two ends a corner, and a turn in all
        // for every piece of boundary, fewer than the segments of one circle a house and corner.
        const double chord = 2 * std::acos(-1.0) / (4 * capsule_quadrant_pieces);
        std::size_t corners = 0;
        for (const Footprint& house : houses)
            corners += house.loops.front().size();
        const double segments = 4.0 * capsule_quadrant_pieces * static_cast<double>(houses.size()) +
                                2.0 * static_cast<double>(corners);
        const double lost_m2 = segments * r_m * r_m / 2 * (chord - std::sin(chord));
        CHECK(ours_m2 - judge.area_m2() > -1e-8);
        CHECK(ours_m2 - judge.area_m2() < lost_m2 + 1e-8);
        CHECK(ours_conifer_m2 - judged_conifer_m2 > -1e-8);
        CHECK(ours_conifer_m2 - judged_conifer_m2 < lost_m2 + 1e-8);
    }
    CHECK(clusters == 50);
}
