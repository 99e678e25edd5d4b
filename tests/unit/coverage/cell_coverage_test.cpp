// SPDX-License-Identifier: Apache-2.0

// The judge is GEOS: area of the intersection of a polygon with every cell.
#include "coverage/gather.hpp"
#include "coverage/scatter.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>
#include <geos_c.h>

#include <functional>
#include <memory>

using namespace fuelring;
using namespace fuelring::test;

namespace {

struct Geos {
    GEOSContextHandle_t handle = GEOS_init_r();
    Geos() = default;
    Geos(const Geos&) = delete;
    Geos& operator=(const Geos&) = delete;
    ~Geos() { GEOS_finish_r(handle); }

    using Geometry = std::unique_ptr<GEOSGeometry, std::function<void(GEOSGeometry*)>>;
    Geometry own(GEOSGeometry* g) const
    {
        return {g, [this](GEOSGeometry* p) { GEOSGeom_destroy_r(handle, p); }};
    }
    Geometry polygon(const Loop& loop) const
    {
        GEOSCoordSequence* seq =
            GEOSCoordSeq_create_r(handle, static_cast<unsigned>(loop.size() + 1), 2);
        for (std::size_t i = 0; i <= loop.size(); ++i)
            GEOSCoordSeq_setXY_r(handle, seq, static_cast<unsigned>(i), loop[i % loop.size()].x,
                                 loop[i % loop.size()].y);
        return own(
            GEOSGeom_createPolygon_r(handle, GEOSGeom_createLinearRing_r(handle, seq), nullptr, 0));
    }
    double area(const GEOSGeometry* g) const
    {
        double area = 0;
        REQUIRE(GEOSArea_r(handle, g, &area) == 1);
        return area;
    }
};

} // namespace

TEST_CASE("coverage of every cell equals the reference library's intersection")
{
    const Geos geos;
    std::mt19937_64 rng{5};
    for (const double cell_m : {0.5, 1.0, 3.0})
        for (int trial = 0; trial < 8; ++trial) {
            CAPTURE(cell_m);
            CAPTURE(trial);
            const Grid grid = square_grid(cell_m, 200, 200);
            const CellFrame frame{100, 100};
            const Footprint shape = random_star(rng, 5 + 3 * trial, 2, 14, {0.3, -0.2});
            const auto polygon = geos.polygon(shape.loops.at(0));
            const CellRect box = grid.cells_of(frame, bounds(shape));
            const CellRect rect{box.col - 2, box.row - 2, box.cols + 4, box.rows + 4};
            const auto cols = static_cast<std::size_t>(rect.cols);
            std::vector<std::uint64_t> plane(cols * static_cast<std::size_t>(rect.rows));
            const Outline outline = outline_of(shape);
            coverage::scatter(outline, frame, grid, coverage::to_fixed(1), rect, plane);

            const RandomFuel fuel{static_cast<std::uint64_t>(trial)};
            const FuelWindow sums = window(rect, fuel);
            const std::vector<FuelSum> per_class = contributions(classes());
            coverage::Integral expected;
            for (std::int64_t r = 0; r < rect.rows; ++r) {
                std::uint64_t sum = 0;
                for (std::int64_t c = 0; c < rect.cols; ++c) {
                    const Point top_left{static_cast<double>(rect.col + c - frame.col) * cell_m,
                                         -static_cast<double>(rect.row + r - frame.row) * cell_m};
                    const auto cell = geos.polygon({top_left, top_left + Point{0, -cell_m},
                                                    top_left + Point{cell_m, -cell_m},
                                                    top_left + Point{cell_m, 0}});
                    const auto common =
                        geos.own(GEOSIntersection_r(geos.handle, polygon.get(), cell.get()));
                    const double covered = geos.area(common.get()) / (cell_m * cell_m);
                    sum += plane[static_cast<std::size_t>(r) * cols + static_cast<std::size_t>(c)];
                    const double ours =
                        std::ldexp(static_cast<double>(static_cast<std::int64_t>(sum)),
                                   -coverage::fixed_places);
                    CHECK(std::abs(ours - covered) < 1e-9);
                    const FuelSum& f = per_class[fuel(rect.row + r, rect.col + c)];
                    expected.conifer += covered * f.conifer / whole_share;
                    expected.mapped += covered * f.mapped;
                    expected.unmapped += covered * f.unmapped;
                }
                CHECK(sum == 0); // the row telescopes to exactly nothing outside
            }
            const coverage::Gatherer gatherer{frame, grid, sums, bounds(outline)};
            const coverage::Integral ours = gatherer.integrate(outline);
            const double tolerance = 1e-9;
            CHECK(std::abs(ours.conifer - expected.conifer) < tolerance);
            CHECK(std::abs(ours.mapped - expected.mapped) < tolerance);
            CHECK(std::abs(ours.unmapped - expected.unmapped) < tolerance);
        }
}
