// SPDX-License-Identifier: Apache-2.0
#include "projects/project_account.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <random>

using namespace fuelring;

namespace {

RawPolygon rectangle(double x0, double y0, double x1, double y1)
{
    return {{{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}};
}

double area(const std::vector<RawPolygon>& polygons)
{
    bool repaired = false;
    const GeosGeometry shape = geos_union(polygons, repaired);
    return shape ? area_of(shape.get()) : 0;
}

} // namespace

TEST_CASE("polygons are cut into parts that do not overlap and make each of them up")
{
    std::mt19937 random{7};
    std::uniform_real_distribution<double> at{0, 100};
    for (int trial = 0; trial < 20; ++trial) {
        CAPTURE(trial);
        std::vector<std::vector<RawPolygon>> polygons;
        std::vector<RawPolygon> all;
        for (int k = 0; k < 6; ++k) {
            const double x = at(random);
            const double y = at(random);
            polygons.push_back({rectangle(x, y, x + at(random) + 1, y + at(random) + 1)});
            all.push_back(polygons.back().front());
        }
        const std::vector<GroundPart> parts = ground_parts(polygons);
        double sum = 0;
        std::vector<double> of_polygon(polygons.size());
        for (const GroundPart& part : parts) {
            const double m2 = area(part.ground);
            sum += m2;
            for (const std::uint32_t k : part.polygons)
                of_polygon[k] += m2;
        }
        CHECK(sum == doctest::Approx(area(all)).epsilon(1e-12));
        for (std::size_t k = 0; k < polygons.size(); ++k)
            CHECK(of_polygon[k] == doctest::Approx(area(polygons[k])).epsilon(1e-12));
    }
}

TEST_CASE("neighbours that share a border share no part")
{
    const std::vector<GroundPart> parts =
        ground_parts({{rectangle(0, 0, 10, 10)}, {rectangle(10, 0, 20, 10)}});
    REQUIRE(parts.size() == 2);
    CHECK(parts[0].polygons == std::vector<std::uint32_t>{0});
    CHECK(parts[1].polygons == std::vector<std::uint32_t>{1});
}

TEST_CASE("where polygons of a group overlap the smallest share that stays holds")
{
    const std::vector<ProjectPolygon> polygons{
        {"1", "a", 0.5, {}, {}}, {"2", "b", 0.25, {}, {}}, {"3", "a", 0.8, {}, {}}};
    const auto parts = ground_parts(
        {{rectangle(0, 0, 10, 10)}, {rectangle(5, 0, 15, 10)}, {rectangle(0, 0, 15, 5)}});
    const std::vector<ProjectGroup> groups = project_groups(polygons);
    REQUIRE(groups.size() == 2 + 3 + 1);
    const auto taken = parts_taken(groups, polygons, parts);
    std::map<std::string, double> m2; // times what is taken
    for (std::size_t g = 0; g < groups.size(); ++g)
        for (const PartTaken& part : taken[g])
            m2[name_of(groups[g].scope) + groups[g].name] +=
                part.taken * area(parts[part.part].ground);
    // a: 100 m2 at half; of the strip 25 m2 lie beyond it and lose a fifth.
    CHECK(m2["projecta"] == doctest::Approx(100 * 0.5 + 25 * 0.2));
    CHECK(m2["projectb"] == doctest::Approx(100 * 0.75));
    // b holds from 5 m on, a half of the rest.
    CHECK(m2["all(all)"] == doctest::Approx(100 * 0.75 + 50 * 0.5));
}

TEST_CASE("homes count from a threshold on, and what rounding takes does not hide one")
{
    const std::vector<double> removed{0, 0.1, 0.5 - 1e-12, 0.4999, 7};
    const std::vector<double> thresholds{0.1, 0.5, 5};
    CHECK(homes_falling(removed, std::vector<double>(5, 1), thresholds) ==
          std::vector<double>{4, 2, 1});
    // A shed, and houses of 2, 3, 4 and 2.5 people.
    CHECK(homes_falling(removed, std::vector<double>{2, 0, 3, 4, 2.5}, thresholds) ==
          std::vector<double>{9.5, 5.5, 2.5});
}
