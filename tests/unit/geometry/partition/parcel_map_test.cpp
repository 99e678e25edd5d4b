// SPDX-License-Identifier: Apache-2.0
#include "geometry/partition/parcel_map.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace fuelring;
using doctest::Approx;

namespace {

LatticeLoop parcel_rectangle(double x0, double y0, double x1, double y1)
{
    return {to_lattice({x0, y0}), to_lattice({x1, y0}), to_lattice({x1, y1}), to_lattice({x0, y1})};
}

LatticeLoop hole(const LatticeLoop& loop)
{
    return {loop.rbegin(), loop.rend()};
}

/// Area of every parcel by the map's lines, ground that is no parcel last (negative: it is what
/// the others enclose).
std::vector<double> areas(const ParcelMap& map, std::size_t parcels)
{
    std::vector<double> area(parcels + 1);
    for (const ParcelLine& line : map.lines()) {
        const double part = 0.5 * cross(from_lattice(line.line.a), from_lattice(line.line.b));
        const auto at = [&](std::int32_t parcel) -> double& {
            return parcel == no_parcel ? area.back() : area[static_cast<std::size_t>(parcel)];
        };
        at(line.left) += part;
        at(line.right) -= part;
    }
    return area;
}

} // namespace

TEST_CASE("neighbours drawn a hair apart, or over each other, meet on the map")
{
    // A long parcel whose side two others share; their corner lies off it by less than half a step
    // of the lattice, once to either side.
    for (const double off_m : {1e-9, 1e-6, 0.0004, -1e-9, -0.0004}) {
        CAPTURE(off_m);
        const ParcelMap map{{{parcel_rectangle(0, 0, 60, 20)},
                             {parcel_rectangle(0, 20 + off_m, 25, 50)},
                             {parcel_rectangle(25 + off_m, 20 - off_m, 60, 50)}}};
        CHECK(map.overlaps().empty());
        const std::vector<double> area = areas(map, 3);
        CHECK(area[0] == Approx(1200).epsilon(1e-12));
        CHECK(area[1] == Approx(750).epsilon(1e-12));
        CHECK(area[2] == Approx(1050).epsilon(1e-12));
    }
}

TEST_CASE("a corner off a slanted side becomes a corner of both")
{
    // The third corner of the second parcel lies on the first one's side only to rounding.
    const LatticeLoop first{to_lattice({0, 0}), to_lattice({70.123, 31.457}), to_lattice({0, 60})};
    const LatticeLoop second{to_lattice({70.123, 31.457}), to_lattice({0, 0}),
                             to_lattice({70.123, 0})};
    const Point middle{70.123 / 3, 31.457 / 3};
    const LatticeLoop third{to_lattice({0, 60}), to_lattice({0, 0}), to_lattice({-20, 30})};
    const LatticeLoop split{to_lattice({0, 0}), to_lattice({70.123, 0}),
                            to_lattice({70.123, 31.457}), to_lattice(middle)};
    const ParcelMap map{{{first}, {split}, {third}}};
    CHECK(map.overlaps().empty());
    const std::vector<double> area = areas(map, 3);
    const std::vector<double> other = areas(ParcelMap{{{first}, {second}, {third}}}, 3);
    // The side moves by less than a step: 1/1024 m times its length.
    for (std::size_t k = 0; k < 3; ++k)
        CHECK(std::abs(area[k] - std::abs(other[k])) < 80.0 / 1024);
    CHECK(area[0] + area[1] + area[2] + area[3] == Approx(0).epsilon(1e-9));
}

TEST_CASE("ground that two parcels claim is the first one's, and the overlap is told exactly")
{
    const ParcelMap map{{{parcel_rectangle(0, 0, 40, 30)}, {parcel_rectangle(38.5, 10, 80, 20)}}};
    REQUIRE(map.overlaps().size() == 1);
    CHECK(map.overlaps()[0].first == 0);
    CHECK(map.overlaps()[0].second == 1);
    CHECK(map.overlaps()[0].area == 15);
    CHECK(map.overlaps()[0].mean_width == Approx(2 * 15 / 23.0));
    CHECK(areas(map, 2)[0] == Approx(1200));
    CHECK(areas(map, 2)[1] == Approx(400));
    CHECK(map.at({39, 15}) == 0);
    CHECK(map.at({40.5, 15}) == 1);
    CHECK(map.at({60, 25}) == no_parcel);
}

TEST_CASE("a parcel inside another's, the same parcel twice and three over each other are overlaps")
{
    const ParcelMap inside{{{parcel_rectangle(0, 0, 40, 30)}, {parcel_rectangle(10, 10, 20, 20)}}};
    REQUIRE(inside.overlaps().size() == 1);
    CHECK(inside.overlaps()[0].area == 100);
    const ParcelMap twice{{{parcel_rectangle(0, 0, 40, 30)}, {parcel_rectangle(0, 0, 40, 30)}}};
    REQUIRE(twice.overlaps().size() == 1);
    CHECK(twice.overlaps()[0].area == 1200);
    CHECK(twice.at({5, 5}) == 0);
    const ParcelMap three{{{parcel_rectangle(0, 0, 40, 30)},
                           {parcel_rectangle(10, 10, 50, 40)},
                           {parcel_rectangle(20, 0, 30, 60)}}};
    REQUIRE(three.overlaps().size() == 3);
    CHECK(three.overlaps()[0].area == 600); // first and second
    CHECK(three.overlaps()[1].area == 300); // first and third
    CHECK(three.overlaps()[2].area == 300); // second and third
}

TEST_CASE("a hole belongs to who fills it, or to nobody")
{
    const ParcelShape ring{parcel_rectangle(0, 0, 40, 30), hole(parcel_rectangle(10, 10, 20, 20))};
    const ParcelMap empty{{ring}};
    CHECK(empty.at({15, 15}) == no_parcel);
    CHECK(empty.at({5, 15}) == 0);
    const ParcelMap filled{{ring, {parcel_rectangle(10, 10, 20, 20)}}};
    CHECK(filled.overlaps().empty());
    CHECK(filled.at({15, 15}) == 1);
    // An island in the hole that touches nothing, with a pond of its own.
    const ParcelMap island{
        {ring, {parcel_rectangle(12, 12, 18, 18), hole(parcel_rectangle(14, 14, 16, 16))}}};
    CHECK(island.overlaps().empty());
    CHECK(island.at({13, 13}) == 1);
    CHECK(island.at({15, 15}) == no_parcel);
    CHECK(island.at({11, 15}) == no_parcel);
    CHECK(areas(island, 2)[1] == Approx(32));
}

TEST_CASE("every place of a random patchwork belongs to the first parcel that covers it")
{
    std::mt19937_64 rng{78};
    std::uniform_real_distribution<double> at{0, 200};
    std::uniform_real_distribution<double> size{5, 60};
    for (int round = 0; round < 20; ++round) {
        CAPTURE(round);
        struct Rectangle {
            double x0, y0, x1, y1;
        };
        std::vector<Rectangle> rectangles;
        std::vector<ParcelShape> shapes;
        for (int k = 0; k < 25; ++k) {
            const double x = std::round(at(rng));
            const double y = std::round(at(rng));
            rectangles.push_back({x, y, x + std::round(size(rng)), y + std::round(size(rng))});
            const Rectangle& r = rectangles.back();
            shapes.push_back({parcel_rectangle(r.x0, r.y0, r.x1, r.y1)});
        }
        const ParcelMap map{shapes};
        for (int n = 0; n < 400; ++n) {
            const Point p{at(rng), at(rng)};
            std::int32_t first = no_parcel;
            for (std::size_t k = rectangles.size(); k-- > 0;) {
                const Rectangle& r = rectangles[k];
                if (p.x > r.x0 && p.x < r.x1 && p.y > r.y0 && p.y < r.y1)
                    first = static_cast<std::int32_t>(k);
            }
            CHECK(map.at(p) == first);
        }
        double pairs = 0;
        for (std::size_t i = 0; i < rectangles.size(); ++i)
            for (std::size_t j = i + 1; j < rectangles.size(); ++j) {
                const Rectangle& a = rectangles[i];
                const Rectangle& b = rectangles[j];
                pairs += std::max(0.0, std::min(a.x1, b.x1) - std::max(a.x0, b.x0)) *
                         std::max(0.0, std::min(a.y1, b.y1) - std::max(a.y0, b.y0));
            }
        double found = 0;
        for (const ParcelOverlap& overlap : map.overlaps())
            found += overlap.area;
        CHECK(found == Approx(pairs).epsilon(1e-12));
    }
}

TEST_CASE("a star of slanted strips over each other comes out as a partition")
{
    // Strips cross each other at points off the lattice: snap rounding moves lines, and may not
    // lose or double any ground.
    std::vector<ParcelShape> strips;
    for (int k = 0; k < 17; ++k) {
        const double angle = 0.37 + 0.18 * k;
        const Point along{50 * std::cos(angle), 50 * std::sin(angle)};
        const Point aside{-1.5 * std::sin(angle), 1.5 * std::cos(angle)};
        const Point corners[] = {-1 * along - aside, along - aside, along + aside,
                                 -1 * along + aside};
        strips.push_back({{to_lattice(corners[0]), to_lattice(corners[1]), to_lattice(corners[2]),
                           to_lattice(corners[3])}});
    }
    const ParcelMap map{strips};
    const std::vector<double> area = areas(map, strips.size());
    double sum = 0;
    for (std::size_t k = 0; k < strips.size(); ++k) {
        CHECK(area[k] > 0);
        CHECK(area[k] < 300.1);
        sum += area[k];
    }
    CHECK(area[0] == Approx(300).epsilon(1e-3));
    CHECK(sum == Approx(-area.back()).epsilon(1e-12));
    CHECK(map.overlaps().size() == 17 * 16 / 2);
}
