// SPDX-License-Identifier: Apache-2.0

// Three open data sets of known counts and areas, read by fuelring's own readers.
// Sources: lc.tif of the R package stars (a piece of the NLCD), grain.tif of spData (CC0) and
// buildings.gpkg of sf, as Debian 12 ships them. Counts by GDAL 3.6.2, areas by GEOS 3.11.1.
#include "geometry/dissolve/incremental_union.hpp"
#include "io/community/community_in.hpp"
#include "io/gdal/handles.hpp"
#include "io/gdal/setup.hpp"
#include "io/raster/fuel_raster.hpp"
#include "io/vector/vector_layer.hpp"
#include "open_data.hpp"
#include "support/temp_folder.hpp"

#include <fuelring/outline.hpp>

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

const FuelClassTable& nlcd()
{
    static const FuelClassTable table = FuelClassTable::read(CLASS_TABLES "/nlcd.csv");
    return table;
}

/// A table for rasters whose codes mean nothing here.
const FuelClassTable& any_classes()
{
    static const FuelClassTable table{{{1, "one", FuelGroup::conifer, whole_share, "test"}}};
    return table;
}

/// The same cells on squares of 30 m in UTM zone 11 N: counts are of the file's cells only where
/// no warp to ground distances comes between.
fs::path on_plain_grid(const fs::path& raster, const fs::path& copy)
{
    set_up_gdal();
    const DatasetPtr from{GDALOpen(raster.c_str(), GA_ReadOnly)};
    REQUIRE(from);
    const DatasetPtr to{GDALCreateCopy(GDALGetDriverByName("GTiff"), copy.c_str(), from.get(), TRUE,
                                       nullptr, nullptr, nullptr)};
    REQUIRE(to);
    const SrsPtr srs{OSRNewSpatialReference(nullptr)};
    OSRImportFromEPSG(srs.get(), 32611);
    std::array<double, 6> transform{600'000, 30, 0, 5'600'000, 0, -30};
    REQUIRE(GDALSetSpatialRef(to.get(), srs.get()) == CE_None);
    REQUIRE(GDALSetGeoTransform(to.get(), transform.data()) == CE_None);
    return copy;
}

CodeCensus census_of(const fs::path& raster, const FuelClassTable& classes)
{
    set_up_gdal();
    const FuelRaster fuel{{.path = raster.string()}, classes};
    CodeCensus census;
    FuelRaster::Reader{fuel}.count(fuel.grid().extent(), census);
    return census;
}

/// Cells by what the class table says of them, as a run sees them.
struct Cover {
    double conifer = 0;
    double mapped = 0;
    double all = 0;
};
Cover cover_of(const fs::path& raster)
{
    set_up_gdal();
    const FuelRaster fuel{{.path = raster.string()}, nlcd()};
    const CellRect rect = fuel.grid().extent();
    std::vector<ClassIndex> cells(static_cast<std::size_t>(rect.cols * rect.rows));
    FuelRaster::Reader{fuel}.read(rect, cells);
    CHECK_FALSE(fuel.met_unknown_codes());
    Cover cover;
    for (const ClassIndex cell : cells) {
        const FuelClass& fuel_class = nlcd()[cell];
        cover.all += 1;
        cover.mapped += cell != no_data_class && fuel_class.group != FuelGroup::unmapped ? 1 : 0;
        cover.conifer += fuel_class.group == FuelGroup::conifer ? 1 : 0;
    }
    return cover;
}

/// The buildings as a run on a raster of their own CRS reads them.
Community buildings_of(const fs::path& file, Warnings& warnings)
{
    set_up_gdal();
    const StructureSource source{{.path = file.string()}};
    const VectorLayer layer{"inputs.structures", source};
    const Grid grid{{528'000, 1, 0, 182'000, 0, -1}, 3000, 3000};
    return read_community({source}, {grid, layer.crs()}, warnings);
}

} // namespace

TEST_CASE("lc.tif holds 456 evergreen cells of 1,249 mapped ones, background apart")
{
    const auto data = open_data();
    if (!data)
        return;
    const TempFolder folder;
    const fs::path plain = on_plain_grid(*data / "lc.tif", folder.path() / "lc.tif");
    const CodeCensus census = census_of(plain, nlcd());
    CHECK(census.cells_of_code.at(42) == 456);
    CHECK(census.cells_of_code.at(0) == 84 * 46 - 1249);
    CHECK(census.nodata_cells == 0); // the file declares none: the class table tells background

    const Cover cover = cover_of(plain);
    CHECK(cover.all == 84 * 46);
    CHECK(cover.mapped == 1249);
    CHECK(cover.conifer / cover.mapped == Approx(0.365092).epsilon(0.5e-6 / 0.365092));
    CHECK(cover.conifer / cover.all == Approx(0.118012).epsilon(0.5e-6 / 0.118012));
}

TEST_CASE("lc.tif where it lies keeps its share of evergreen forest on the ground")
{
    const auto data = open_data();
    if (!data)
        return;
    set_up_gdal();
    const FuelRaster fuel{{.path = (*data / "lc.tif").string()}, nlcd()};
    CHECK(fuel.plan().source.cols == 84);
    CHECK(fuel.plan().source.rows == 46);
    CHECK(fuel.grid().cell_area_m2() == Approx(9e6).epsilon(0.001)); // cells of 3000 m
    // An equal-area grid, so shares of cells are shares of ground. Far off its meridian its rows
    // and columns are not at right angles, so a run warps it: nearest neighbour repeats or drops
    // single cells of 1,249, as a random thing with a standard error of at most
    // sqrt(0.365 x 0.635 / 1249) = 0.0136. The bound is three of them.
    const Cover cover = cover_of(*data / "lc.tif");
    CHECK(std::abs(cover.conifer / cover.mapped - 0.365092) < 3 * 0.0136);
}

TEST_CASE("grain.tif holds 10, 13 and 13 cells of its three classes")
{
    const auto data = open_data();
    if (!data)
        return;
    const TempFolder folder;
    const CodeCensus census =
        census_of(on_plain_grid(*data / "grain.tif", folder.path() / "grain.tif"), any_classes());
    const std::map<std::int64_t, std::int64_t> published{{0, 10}, {1, 13}, {2, 13}};
    CHECK((census.cells_of_code == published));
    CHECK(census.nodata_cells == 0);
}

TEST_CASE("buildings.gpkg holds 158 outlines of 481232.020 square metres")
{
    const auto data = open_data();
    if (!data)
        return;
    Warnings warnings;
    const Community community = buildings_of(*data / "buildings.gpkg", warnings);
    CHECK(community.structures.size() == 158);
    double sum_m2 = 0;
    for (const Structure& s : community.structures)
        sum_m2 += s.footprint_m2;
    // Published to a thousandth; the vertices are moved to local frames within 1e-9 m.
    CHECK(std::abs(sum_m2 - 481232.020) < 0.0006);
}

TEST_CASE("outlines around the 158 buildings are as large as GEOS's, and the arcs' shortfall more")
{
    const auto data = open_data();
    if (!data)
        return;
    Warnings warnings;
    const Community community = buildings_of(*data / "buildings.gpkg", warnings);
    struct Case {
        double r_m;
        double geos_m2; ///< sum of separate buffers, 64 segments a quadrant
    };
    const Case cases[] = {{1.5, 543156.8}, {10, 908821.2}, {30, 2029841.5}, {100, 9053670.7}};
    // A polygon of n vertices in a circle lacks 1 - sin(2 pi / n) / (2 pi / n) of it. Sectors of
    // arcs do not overlap and lie in what the outline has gained, so that is how much is lacking at
    // most. GEOS also fills shallow notches of its input, in proportion to the radius: by up to
    // 3e-5 of the area at 100 m (measured).
    constexpr double turn = 2 * std::numbers::pi / (4 * 64);
    const double shortfall = 1 - std::sin(turn) / turn;
    for (const Case& c : cases) {
        CAPTURE(c.r_m);
        double sum_m2 = 0;
        double gained_m2 = 0;
        int not_exact = 0;
        for (const Structure& s : community.structures) {
            const Outline outline = outline_within(s.footprint, c.r_m);
            not_exact += outline.method == OutlineMethod::exact ? 0 : 1;
            sum_m2 += area_m2(outline);
            gained_m2 += area_m2(outline) - s.footprint_m2;
        }
        CAPTURE(sum_m2);
        CHECK(not_exact == 0);
        CHECK(sum_m2 <= c.geos_m2 + shortfall * gained_m2 + 0.05); // published to a tenth
        CHECK(sum_m2 >= c.geos_m2 - 3e-5 * c.geos_m2 * c.r_m / 100 - 0.05);
    }
}

TEST_CASE("the union around the 158 buildings is as large as GEOS's, and the arcs' shortfall more")
{
    const auto data = open_data();
    if (!data)
        return;
    Warnings warnings;
    const Community community = buildings_of(*data / "buildings.gpkg", warnings);
    std::vector<IndexedStructure> members;
    for (const Structure& s : community.structures)
        members.push_back({&s.footprint,
                           {{static_cast<double>(s.frame.col), -static_cast<double>(s.frame.row)},
                            {s.map_scale.x, s.map_scale.y}},
                           &s.stretch,
                           0});
    const StructureIndex all{members, {1, 1}};
    struct Case {
        double r_m;
        double geos_m2; ///< area of the union of buffers, 64 segments a quadrant
    };
    const Case cases[] = {
        {0, 481232.020}, {1.5, 542983.2}, {10, 745260.5}, {30, 831492.6}, {100, 1099578.1}};
    // Lost by chords along the arcs of the boundary: their sectors do not overlap and lie in what
    // the union has gained on the footprints. GEOS also fills notches, as above.
    constexpr double turn = 2 * std::numbers::pi / (4 * 64);
    const double shortfall = 1 - std::sin(turn) / turn;
    for (const Case& c : cases) {
        CAPTURE(c.r_m);
        IncrementalUnion regions{all, c.r_m, false};
        double sum_m2 = 0;
        int not_exact = 0;
        for (std::size_t i = 0; i < all.size(); ++i) {
            const AddedRegion added = regions.among_all(i);
            sum_m2 += area_m2(added.outline);
            not_exact += added.method == OutlineMethod::exact ? 0 : 1;
        }
        CAPTURE(sum_m2);
        CHECK(not_exact == 0);
        const double rounded_m2 = c.r_m == 0 ? 0.0006 : 0.05; // as published
        CHECK(sum_m2 <= c.geos_m2 + shortfall * (sum_m2 - 481232.020) + rounded_m2);
        CHECK(sum_m2 >= c.geos_m2 - 3e-5 * c.geos_m2 * c.r_m / 100 - rounded_m2);
    }
}
