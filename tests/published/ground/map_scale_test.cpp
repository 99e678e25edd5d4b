// SPDX-License-Identifier: Apache-2.0

// Map scales against published and computed values, and what is decided upon them.
#include "io/gdal/reprojection.hpp"
#include "io/gdal/setup.hpp"
#include "io/georeference/analysis_grid.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <limits>

using namespace fuelring;
using doctest::Approx;

namespace {

Crs epsg(int code)
{
    set_up_gdal();
    return Crs::from_user_input(fmt::format("EPSG:{}", code), "test");
}

/// A place of degrees in another CRS, on that CRS's own datum.
Point place(const Crs& crs, Point degrees)
{
    REQUIRE(Reprojection{crs.geographic(), crs}.apply(degrees));
    return degrees;
}

ScaleAtPlace reading(int code, Point degrees)
{
    const Crs crs = epsg(code);
    return ScaleMeter{crs}.at(place(crs, degrees));
}

/// As a table prints it.
std::string digits(double value, int decimals)
{
    return fmt::format("{:.{}f}", value, decimals);
}

/// A raster of 1000 x 1000 cells of `cell` units around a place, north up.
SourceGrid raster_at(int code, Point degrees, double cell)
{
    const Crs crs = epsg(code);
    const Point p = place(crs, degrees);
    return {crs, {p.x - 500 * cell, cell, 0, p.y + 500 * cell, 0, -cell}, 1000, 1000};
}

} // namespace

TEST_CASE("UTM has the scale 0.9996 on its meridian and 1.00016768 three degrees off it")
{
    // Source: the definition of UTM; at 3 degrees and 50 N computed with PROJ's own factors.
    const ScaleAtPlace middle = reading(32632, {9, 50});
    CHECK(digits(middle.smallest, 8) == "0.99960000");
    CHECK(digits(middle.largest, 8) == "0.99960000");
    const ScaleAtPlace edge = reading(32632, {12, 50});
    CHECK(digits(edge.smallest, 8) == "1.00016768");
    CHECK(digits(edge.largest, 8) == "1.00016768");
    CHECK(digits(edge.areal, 6) == digits(1.00016768 * 1.00016768, 6));
}

TEST_CASE("Web Mercator has the scales of the ellipsoid, not those of its sphere")
{
    // East-west a / (N cos lat), north-south a / (M cos lat), with the radii of curvature N and M
    // of WGS 84 at 50 N. PROJ's factors are those of the sphere: 1.55572383 and 2.42027663.
    const double e2 = 0.00669437999014;
    const double sine = std::sin(50 * std::acos(-1.0) / 180);
    const double secant = 1 / std::sqrt(1 - sine * sine);
    const double w = std::sqrt(1 - e2 * sine * sine);
    const ScaleAtPlace at = reading(3857, {7, 50});
    CHECK(at.along_axes.x == Approx(secant * w).epsilon(1e-9));
    CHECK(at.along_axes.y == Approx(secant * w * w * w / (1 - e2)).epsilon(1e-9));
    CHECK(digits(at.along_axes.x, 8) == "1.55266505");
    CHECK(digits(at.along_axes.y, 8) == "1.55698860");
    CHECK(digits(at.areal, 8) == "2.41748178");
    CHECK(std::abs(at.skew) < 1e-9);
}

TEST_CASE("the grid of the Canadian national raster understates areas by up to 6 per cent")
{
    // Source: computed with PROJ's own factors for EPSG:3978 (Lambert conformal conic with standard
    // parallels 49 and 77 N, GRS 80); its scale depends on the latitude alone.
    struct Case {
        double latitude;
        std::string_view areal;
    };
    for (const Case& c : {Case{50, "0.992504"}, {54, "0.967518"}, {62.5, "0.940706"}})
        for (const double longitude : {-95.0, -117.0, -60.0}) {
            CAPTURE(c.latitude);
            CAPTURE(longitude);
            const ScaleAtPlace at = reading(3978, {longitude, c.latitude});
            CHECK(digits(at.areal, 6) == c.areal);
            CHECK(at.largest / at.smallest == Approx(1).epsilon(1e-8)); // conformal
            CHECK(at.largest * at.largest == Approx(at.areal).epsilon(1e-8));
        }
}

TEST_CASE("equal-area grids keep areas, not distances")
{
    struct Case {
        int epsg;
        Point degrees;
    };
    for (const Case& c : {Case{5070, {-117, 50}}, {3005, {-122, 55}}, {3035, {9, 50}}}) {
        CAPTURE(c.epsg);
        CHECK(reading(c.epsg, c.degrees).areal == Approx(1).epsilon(1e-8));
    }
    const ScaleAtPlace albers = reading(5070, {-117, 50});
    CHECK(albers.largest > 1.01);
    CHECK(albers.smallest * albers.largest == Approx(1).epsilon(1e-8));
}

TEST_CASE("a degree is as long as its parallel and meridian")
{
    // Source: arc of the parallel, N cos(lat) pi / 180, of the meridian M pi / 180; WGS 84 at 50 N.
    const ScaleAtPlace at = ScaleMeter{epsg(4326)}.at({7, 50});
    CHECK(1 / at.along_axes.x == Approx(71'695.75).epsilon(1e-6));
    CHECK(1 / at.along_axes.y == Approx(111'229.0).epsilon(1e-6));
}

TEST_CASE("what is done about a grid follows from its worst distance over the study area")
{
    struct Case {
        std::string_view why;
        int epsg;
        Point degrees;
        double cell;
        GroundRule rule;
        std::string_view words;
    };
    const Case cases[] = {
        {"UTM in its zone",
         32632,
         {10, 50},
         1,
         GroundRule::grid_stands,
         "distances are measured on the map grid"},
        {"UTM far outside", 32632, {19, 50}, 1, GroundRule::scaled, "overstates areas here by"},
        {"Web Mercator", 3857, {7, 50}, 1, GroundRule::scaled, "overstates areas here 2.417 times"},
        {"Canada", 3978, {-100, 54}, 30, GroundRule::scaled, "understates areas here by 3.2"},
        {"Canada at 49 N",
         3978,
         {-100, 49},
         1,
         GroundRule::grid_stands,
         "distances are measured on the map grid"},
        {"Albers on a parallel", 5070, {-96, 29.5}, 1, GroundRule::grid_stands, "at most 0.0"},
        {"Albers on its meridian",
         5070,
         {-96, 38},
         30,
         GroundRule::scaled,
         "in distances here by up to 0.98%"},
        {"Albers far out", 5070, {-117, 50}, 30, GroundRule::warped, "differ by direction here"},
        {"degrees", 4326, {7, 50}, 1e-5, GroundRule::warped, "degrees (WGS 84 (EPSG:4326))"},
        {"degrees in the south",
         4326,
         {147, -43},
         1e-5,
         GroundRule::warped,
         "43.0000 S, 147.0000 E"},
        {"feet", 2263, {-74, 40.9}, 3, GroundRule::scaled, "US survey foot of the grid per metre"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const AnalysisPlan plan = plan_analysis(raster_at(c.epsg, c.degrees, c.cell), {});
        CAPTURE(plan.decision);
        CHECK(plan.rule == c.rule);
        CHECK(plan.decision.find(c.words) != std::string::npos);
        CHECK(plan.analysis.ground.varies() == (c.rule == GroundRule::scaled));
        // Whatever was done: a cell of the analysis grid has the ground size that the grid says.
        const Grid& grid = plan.analysis.grid;
        const Point middle = grid.corner(grid.cols() / 2, grid.rows() / 2);
        const Grid ground = grid.at_scale(plan.analysis.ground.at(middle));
        const ScaleAtPlace at = ScaleMeter{plan.analysis.crs, axes_of(grid)}.at(middle);
        CHECK(ground.cell_width_m() ==
              Approx(grid.cell_width_m() / at.along_axes.x).epsilon(largest_scale_error));
        CHECK(ground.cell_height_m() ==
              Approx(grid.cell_height_m() / at.along_axes.y).epsilon(largest_scale_error));
        CHECK(std::abs(at.skew) / 2 <= largest_scale_error);
    }
}

TEST_CASE("a large raster is judged where the structures stand")
{
    // 1000 x 1000 km of zone 32: right near its meridian, 0.5 per cent off at its eastern edge.
    const SourceGrid wide{epsg(32632), {500'000, 100, 0, 6'000'000, 0, -100}, 10'000, 10'000};
    const auto rule_at = [&](Box area) {
        StudyArea study;
        study.structures = [area](const Crs&, const Box&, const GeoArea&) { return area; };
        return plan_analysis(wide, study).rule;
    };
    CHECK(rule_at({{510'000, 5'500'000}, {520'000, 5'510'000}}) == GroundRule::grid_stands);
    CHECK(rule_at({{1'300'000, 5'500'000}, {1'310'000, 5'510'000}}) == GroundRule::scaled);
    CHECK(plan_analysis(wide, {}).rule == GroundRule::scaled);
}

TEST_CASE("a warped grid holds the study area and the widest ring, and little more")
{
    const SourceGrid degrees = raster_at(4326, {7, 50}, 1e-4);
    StudyArea study;
    study.structures = [](const Crs&, const Box&, const GeoArea&) {
        return Box{{7, 50}, {7.01, 50.01}};
    };
    study.reach_m = 100;
    const AnalysisPlan plan = plan_analysis(degrees, study);
    const Grid& grid = plan.analysis.grid;
    for (const Point corner : {Point{7, 50}, {7.01, 50}, {7, 50.01}, {7.01, 50.01}}) {
        Point p = corner;
        REQUIRE(Reprojection{degrees.crs, plan.analysis.crs}.apply(p));
        const Point cell = grid.cell_of(p);
        const double x_m =
            std::min(cell.x, static_cast<double>(grid.cols()) - cell.x) * grid.cell_width_m();
        const double y_m =
            std::min(cell.y, static_cast<double>(grid.rows()) - cell.y) * grid.cell_height_m();
        CHECK(x_m > 100);
        CHECK(x_m < 150);
        CHECK(y_m > 100);
        CHECK(y_m < 150);
    }
}

TEST_CASE("structures that no local grid can hold are refused with how far apart they are")
{
    const Crs crs = epsg(4326);
    const SourceGrid world{crs, {-180, 1e-5, 0, 80, 0, -1e-5}, 36'000'000, 16'000'000};
    try {
        plan_analysis(world, {});
        FAIL("the whole world was taken");
    } catch (const Error& e) {
        CHECK(e.kind() == Failure::input);
    }
    StudyArea study;
    study.structures = [](const Crs&, const Box&, const GeoArea&) {
        return Box{{0, 45}, {10, 55}};
    };
    try {
        plan_analysis(world, study);
        FAIL("a thousand kilometres were taken");
    } catch (const Error& e) {
        CHECK(e.kind() == Failure::input);
        CHECK(std::string{e.what()}.find("too far to warp") != std::string::npos);
        CHECK(e.remedy().find("inputs.structures.where") != std::string::npos);
    }
}

TEST_CASE("the scale of a place that is none is an error, not a number")
{
    const Crs utm = epsg(32632);
    const ScaleMeter meter{utm};
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const double infinite = std::numeric_limits<double>::infinity();
    for (const Point p : {Point{nan, 5e6}, {5e5, nan}, {infinite, 5e6}, {1e12, 1e12}})
        CHECK_THROWS_AS(meter.at(p), Error);
    CHECK_THROWS_AS(map_scale(utm, {{1e12, 1e12}, {1e12, 1e12}}), Error);
    CHECK_THROWS_AS(ScaleMeter{epsg(4326)}.at({9, 95}), Error);
}
