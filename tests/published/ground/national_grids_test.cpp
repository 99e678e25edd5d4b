// SPDX-License-Identifier: Apache-2.0

// National grids of all continents as the raster's: the program runs, and its rings are as large as
// geodesics say (Karney, Algorithms for geodesics, J. Geod. 87, 2013,
// doi:10.1007/s00190-012-0578-z, as PROJ's geodesic.h computes them).
#include "system_tools.hpp"

using namespace fuelring::test;
using doctest::Approx;

namespace {

struct NationalGrid {
    int epsg;
    double lon, lat; ///< WGS 84: a place that the grid is made for
    std::string_view why;
};

constexpr NationalGrid national_grids[] = {
    {2056, 9.52, 47.14, "Switzerland, Liechtenstein: oblique Mercator"},
    {21781, 7.45, 46.95, "the same on the older datum"},
    {5513, 14.42, 50.08, "Czechia, Slovakia: Krovak, axes to the south and west"},
    {5514, 14.42, 50.08, "the same with axes to the east and north"},
    {23700, 19.05, 47.5, "Hungary: oblique Mercator"},
    {31287, 14.3, 47.6, "Austria: Lambert"},
    {31254, 10.4, 47.2, "Austria: transverse Mercator, west"},
    {28992, 5.4, 52.16, "Netherlands: oblique stereographic"},
    {27700, -3.2, 56.1, "Great Britain: transverse Mercator"},
    {2154, 2.35, 46.5, "France: Lambert"},
    {27572, 2.35, 46.8, "France: Lambert by the meridian of Paris, in grads"},
    {3006, 17.6, 60.1, "Sweden: transverse Mercator, wide"},
    {2180, 19.1, 52.1, "Poland: transverse Mercator"},
    {3763, -8.0, 40.0, "Portugal: transverse Mercator"},
    {3844, 25.0, 46.0, "Romania: oblique stereographic"},
    {2039, 35.0, 31.5, "Israel: transverse Mercator"},
    {2193, 172.5, -43.5, "New Zealand: transverse Mercator"},
    {7856, 151.1, -33.8, "Australia: transverse Mercator"},
    {3112, 134.0, -25.0, "Australia: Lambert for the continent"},
    {2048, 18.6, -33.9, "South Africa: axes to the west and south"},
    {2053, 29.1, -26.1, "South Africa: the same further east"},
    {29702, 47.5, -18.9, "Madagascar: oblique, by the meridian of Paris"},
    {21037, 36.8, -1.3, "Kenya: UTM on an older datum"},
    {3978, -106.0, 52.0, "Canada: Lambert for the country"},
    {26910, -122.3, 49.2, "Canada, United States: UTM"},
    {6350, -96.5, 39.0, "United States: equal areas"},
    {2227, -121.5, 37.9, "California: Lambert in survey feet"},
    {6372, -100.3, 25.6, "Mexico: Lambert for the country"},
    {5880, -54.0, -15.0, "Brazil: polyconic"},
    {31983, -43.2, -22.8, "Brazil: UTM on the southern hemisphere"},
    {22185, -60.0, -33.0, "Argentina: transverse Mercator"},
    {3375, 101.7, 3.2, "Malaysia: oblique Mercator"},
    {29873, 115.5, 5.0, "Borneo: oblique Mercator on an older datum"},
    {5179, 127.5, 36.5, "Korea: transverse Mercator"},
    {2451, 139.7, 35.7, "Japan: transverse Mercator"},
    {32643, 77.2, 28.6, "India: UTM"},
    {3832, 179.999, -17.5, "Pacific: Mercator across the 180th meridian"},
    {3857, 7.0, 50.0, "Web Mercator"},
};

constexpr std::int64_t cells = 60;

/// A raster of metre cells around a place, half of it conifers; `turned`: columns and rows run
/// against the axes, as they do in an image with the north on top where axes run south and west.
FuelFile raster_around(int epsg, Place at, double unit_m, bool turned)
{
    const double cell = (turned ? -1 : 1) / unit_m;
    const double half = 0.5 * cell * static_cast<double>(cells);
    return {cells,
            cells,
            {at.x - half, cell, 0, at.y + half, 0, -cell},
            epsg,
            [](std::int64_t, std::int64_t col) { return col < cells / 2 ? conifer : grass; }};
}

/// Every ring of a rectangle holds P (r2 - r1) + pi (r2^2 - r1^2): Steiner's formula.
void check_rings(const SqlRow& row, const std::vector<Place>& house, const Geodesics& ground)
{
    double around_m = 0;
    for (std::size_t k = 0; k < house.size(); ++k)
        around_m += ground.length_m(house[k], house[(k + 1) % house.size()]);
    const double ends[] = {0, 1.5, 10, 30, 100};
    for (std::size_t k = 0; k + 1 < std::size(ends); ++k) {
        CAPTURE(k);
        const double wide = ends[k + 1] - ends[k];
        const double expected = around_m * wide + std::numbers::pi * wide * (ends[k + 1] + ends[k]);
        CHECK(row[5 + k].number.value() == Approx(expected).epsilon(0.002));
    }
}

void check_grid(const NationalGrid& grid, bool turned)
{
    const std::string why{grid.why};
    CAPTURE(grid.epsg);
    CAPTURE(why);
    CAPTURE(turned);
    const OGRSpatialReference srs = system_of(grid.epsg);
    const double unit_m = srs.GetLinearUnits(nullptr);
    const Place at = moved(way_between(system_of(4326), srs), {grid.lon, grid.lat});
    const TempFolder temp;
    make_fuel(temp.path() / "fuel.tif", raster_around(grid.epsg, at, unit_m, turned));
    const std::vector<Place> house = house_at(at, unit_m);
    make_layer(temp.path() / "structures.gpkg", "GPKG", "structure_id", grid.epsg,
               {{"A", wkt_of(house)}});
    const GridRun run = run_map(temp.path());
    INFO(run.result.err);
    REQUIRE(run.result.exit_code == 0);
    REQUIRE(run.structures.size() == 1);
    check_rings(run.structures[0], house, Geodesics{srs});
    CHECK(std::abs(std::remainder(run.structures[0][3].number.value() - grid.lon, 360.0)) < 1e-4);
    CHECK(std::abs(run.structures[0][4].number.value() - grid.lat) < 1e-4);
    CHECK(run.manifest.at("inputs").at("inputs.structures.path").at("operation").is_null());
    CHECK(run.manifest.at("crs").at("to_wgs84").at("operation").is_string());
    CHECK(count_of(run.result.err, "longitudes and latitudes by ") == 1);
    CHECK_FALSE(holds(warnings_of(run), "outside_area_of_use"));
}

} // namespace

TEST_CASE("national grids of all continents are taken, and their rings have the ground's areas")
{
    static_assert(std::size(national_grids) >= 30);
    for (const NationalGrid& grid : national_grids)
        check_grid(grid, false);
    for (const NationalGrid& grid : national_grids)
        if (grid.epsg == 2048 || grid.epsg == 2053 || grid.epsg == 5513)
            check_grid(grid, true);
}

namespace {

/// One house on a raster of that system, at a place in degrees of WGS 84; footprints in `layer`.
GridRun house_in(int raster, int layer, Place degrees, double cell_m)
{
    const OGRSpatialReference srs = system_of(raster);
    const Place at = moved(way_between(system_of(4326), srs), degrees);
    const TempFolder temp;
    make_fuel(temp.path() / "fuel.tif", raster_around(raster, at, 1 / cell_m, false));
    make_layer(temp.path() / "structures.gpkg", "GPKG", "structure_id", raster,
               {{"A", wkt_of(house_at(at, 1))}});
    if (layer != raster) {
        fs::rename(temp.path() / "structures.gpkg", temp.path() / "other.gpkg");
        reproject_layer(temp.path() / "other.gpkg", temp.path() / "structures.gpkg", "GPKG", layer);
    }
    return run_map(temp.path());
}

} // namespace

TEST_CASE("what is not certain about a system is warned of, and changes no ring")
{
    struct Case {
        std::string_view why;
        int raster, layer;
        Place degrees;
        std::vector<std::string> warnings;
        double cell_m = 1;
    };
    const Case cases[] = {
        {"its own zone", 32632, 32632, {9.1, 47.1}, {}},
        {"degrees are good to 9 m", 22279, 22279, {18.6, -33.9}, {"degrees_inaccurate"}},
        {"the neighbour's zone", 32632, 32632, {5.2, 47.1}, {"outside_area_of_use"}},
        {"both zones are neighbours'",
         32632,
         32630,
         {5.2, 47.1},
         {"outside_area_of_use", "outside_area_of_use"}},
        {"no shift is known without grids: the house is 200 m off",
         26910,
         26710,
         {-122.4, 49.1},
         {"ballpark_operations", "grids_missing", "coarse_cells"},
         20},
    };
    for (const Case& c : cases) {
        const std::string why{c.why};
        CAPTURE(why);
        const GridRun run = house_in(c.raster, c.layer, c.degrees, c.cell_m);
        INFO(run.result.err);
        REQUIRE(run.result.exit_code == 0);
        CHECK(warnings_of(run) == c.warnings);
        REQUIRE(run.structures.size() == 1);
        const double expected = 2 * (22 + 14) * 20 + std::numbers::pi * 20 * 40; // 10 to 30 m
        CHECK(run.structures[0][7].number.value() == Approx(expected).epsilon(0.002));
    }
}
