// SPDX-License-Identifier: Apache-2.0

// Rasters that are refused before a cell is read, each with its reason and what to do.
#include "io/raster/fuel_raster.hpp"
#include "unit/io/data_files.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

Error refusal(const FuelSource& source)
{
    const FuelClassTable classes{{{1, "pine", FuelGroup::conifer, 10'000, "test"}}};
    return error_of([&] { FuelRaster{source, classes}; });
}

} // namespace

TEST_CASE("a raster that cannot be used is refused with the reason and the remedy")
{
    const TempFolder folder;
    const std::array<double, 6> flat = {500'000, 1, 1, 5'540'000, 1, 1};
    struct Case {
        std::string_view why;
        RasterSpec raster;
        std::string_view what, remedy;
    };
    const Case cases[] = {
        {"no CRS", {.epsg = 0}, "has no coordinate reference system", "inputs.fuel.crs = \"EPSG:"},
        {"no ellipsoid below it", {.epsg = 4978}, "is not a map grid", "gdalwarp"},
        {"cells without area", {.geotransform = flat}, "cells without area", "gdalwarp"},
        {"latitudes beyond the pole", {.epsg = 4326}, "cannot be placed on the ground", ""},
        {"complex cells", {.type = GDT_CFloat32}, "complex numbers", "inputs.fuel.band"},
        {"absurd size",
         {.cols = 2'000'000,
          .rows = 2'000'000,
          .options = {"TILED=YES", "BLOCKXSIZE=65536", "BLOCKYSIZE=65536", "SPARSE_OK=TRUE",
                      "BIGTIFF=YES"}},
         "2000000 x 2000000 cells; 250000000000 is the most",
         "gdalwarp"},
        {"absurd blocks",
         {.cols = 30'000,
          .rows = 30'000,
          .options = {"TILED=YES", "BLOCKXSIZE=30000", "BLOCKYSIZE=30000", "SPARSE_OK=TRUE"}},
         "blocks of 30000 x 30000 cells take 858 MiB each",
         "TILED=YES"},
        {"blocks of many bands",
         {.cols = 4096,
          .rows = 4096,
          .bands = 8,
          .options = {"TILED=YES", "BLOCKXSIZE=4096", "BLOCKYSIZE=4096", "INTERLEAVE=PIXEL",
                      "SPARSE_OK=TRUE"}},
         "take 128 MiB each",
         "TILED=YES"},
        {"many bands", {.bands = 1001}, "1001 bands; 1000 is the most", "a file of its own"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const std::string path = folder / "fuel.tif";
        write_raster(path, c.raster, {});
        check_says(refusal({.path = path}), c.what, c.remedy);
        std::filesystem::remove(path);
    }
}

TEST_CASE("a band that is not there is refused with the number there are")
{
    const TempFolder folder;
    write_raster(folder / "fuel.tif", {.bands = 2}, {1});
    check_says(refusal({.path = folder / "fuel.tif", .band = 3}), "no band 3: the raster has 2",
               "inputs.fuel.band");
    check_says(refusal({.path = folder / "fuel.tif", .band = 0}), "no band 0", "inputs.fuel.band");
}

TEST_CASE("what is not a raster is refused with GDAL's own reason")
{
    const TempFolder folder;
    check_says(refusal({.path = folder / "none.tif"}), "No such file or directory",
               "check inputs.fuel.path");
    write_text(folder / "text.tif", "not a raster");
    check_says(refusal({.path = folder / "text.tif"}), "not recognized as a supported file format",
               "check inputs.fuel.path");
}

TEST_CASE("a raster without georeference is refused")
{
    const TempFolder folder;
    const FuelClassTable classes{{{1, "pine", FuelGroup::conifer, 10'000, "test"}}};
    // A plain image: a portable grey map under an allowed name would be no allowed format.
    GDALDriverH tiff = GDALGetDriverByName("GTiff");
    GDALClose(GDALCreate(tiff, (folder / "plain.tif").c_str(), 4, 3, 1, GDT_Byte, nullptr));
    check_says(refusal({.path = folder / "plain.tif", .crs = "EPSG:32632"}), "no georeference",
               "gdal_edit");
}

TEST_CASE("a file that points elsewhere opens only where the configuration trusts it")
{
    const TempFolder folder;
    write_raster(folder / "real.tif", {}, {1, 1, 1});
    const std::string vrt =
        "<VRTDataset rasterXSize=\"4\" rasterYSize=\"3\">"
        "<SRS>EPSG:32632</SRS><GeoTransform>500000,1,0,5540000,0,-1</GeoTransform>"
        "<VRTRasterBand dataType=\"Byte\" band=\"1\"><SimpleSource>"
        "<SourceFilename>" +
        (folder / "real.tif") + "</SourceFilename></SimpleSource></VRTRasterBand></VRTDataset>";
    write_text(folder / "fuel.tif", vrt); // the name says TIFF, the bytes say VRT
    check_says(refusal({.path = folder / "fuel.tif"}), "it is a VRT file",
               "run.remote_inputs = true");
    check_says(refusal({.path = "/vsicurl/http://127.0.0.1:1/fuel.tif"}), "no plain local file",
               "run.remote_inputs = true");
    check_says(refusal({.path = vrt}), "no plain local file", "run.remote_inputs = true");

    const FuelClassTable classes{{{1, "pine", FuelGroup::conifer, 10'000, "test"}}};
    const FuelRaster trusted{{.path = folder / "fuel.tif", .remote_allowed = true}, classes};
    CHECK(trusted.grid().cols() == 4);
}
