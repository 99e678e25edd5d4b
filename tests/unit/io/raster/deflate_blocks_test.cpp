// SPDX-License-Identifier: Apache-2.0
#include "io/gdal/tiff_block.hpp"
#include "io/raster/band_reader.hpp"
#include "unit/io/data_files.hpp"

#include <doctest/doctest.h>
#include <gdal_priv.h>
#include <libdeflate.h>

#include <fstream>

using namespace fuelring;
using namespace fuelring::test;

namespace {

GDALDatasetUniquePtr open(const std::string& path)
{
    return GDALDatasetUniquePtr{GDALDataset::Open(path.c_str(), GDAL_OF_RASTER)};
}

using Bytes = std::vector<std::uint8_t>;

/// A window of the first band as it is read here.
Bytes read_blocks(const std::string& path, const CellRect& rect)
{
    const GDALDatasetUniquePtr file = open(path);
    BandReader band{GDALRasterBand::ToHandle(file->GetRasterBand(1)), path};
    Bytes cells(static_cast<std::size_t>(rect.cols * rect.rows));
    band.read(rect, cells.data(), GDT_Byte);
    return cells;
}

/// Cells that DEFLATE cannot make smaller.
std::vector<double> noise(int n, int most)
{
    std::vector<double> cells;
    std::uint32_t seed = 1;
    for (int k = 0; k < n; ++k) {
        seed = seed * 1'664'525 + 1'013'904'223;
        cells.push_back((seed >> 16) % static_cast<std::uint32_t>(most + 1));
    }
    return cells;
}

/// Replaces the block in column 1, row 0 by one that unpacks to `cells`, with a checksum that fits.
void repack(const std::string& path, const Bytes& cells)
{
    GDALDatasetUniquePtr file = open(path);
    GDALRasterBandH band = GDALRasterBand::ToHandle(file->GetRasterBand(1));
    const auto [offset, size] = tiff_block(band, 1, 0);
    file.reset();
    Bytes packed(size);
    libdeflate_compressor* pack = libdeflate_alloc_compressor(6);
    REQUIRE(libdeflate_zlib_compress(pack, cells.data(), cells.size(), packed.data(), size) > 0);
    libdeflate_free_compressor(pack);
    std::fstream out{path, std::ios::binary | std::ios::in | std::ios::out};
    out.seekp(static_cast<std::streamoff>(offset));
    out.write(reinterpret_cast<const char*>(packed.data()), static_cast<std::streamsize>(size));
    REQUIRE(out.good());
}

} // namespace

TEST_CASE("a block that unpacks to more than its cells is damaged, although GDAL reads it")
{
    const TempFolder folder;
    const std::string path = folder / "fuel.tif";
    write_raster(path,
                 {.cols = 256,
                  .rows = 128,
                  .options = {"COMPRESS=DEFLATE", "TILED=YES", "BLOCKXSIZE=64", "BLOCKYSIZE=64"}},
                 noise(256 * 128, 255));
    const CellRect everything{0, 0, 256, 128};
    const Bytes whole = read_blocks(path, everything);

    repack(path, Bytes(64 * 64, 7));
    CHECK(read_blocks(path, {64, 0, 64, 64}) ==
          Bytes(64 * 64, 7)); // the control: exactly its cells

    repack(path, Bytes(64 * 64 + 2, 7));
    Bytes cells(64 * 64);
    REQUIRE(open(path)->GetRasterBand(1)->RasterIO(GF_Read, 64, 0, 64, 64, cells.data(), 64, 64,
                                                   GDT_Byte, 0, 0, nullptr) == CE_None);
    const Error e = error_of([&] { read_blocks(path, everything); });
    CHECK(e.kind() == Failure::input);
    CHECK(e.message().find("columns 64 to 127, rows 0 to 63 cannot be read: their block of ") !=
          std::string::npos);
    CHECK(e.message().find("fuel.tif") != std::string::npos);
    CHECK_THROWS_AS(read_blocks(path, {127, 63, 1, 1}), Error);
    CHECK(read_blocks(path, {128, 0, 128, 64}) == [&] {
        Bytes right;
        for (std::size_t row = 0; row < 64; ++row)
            right.insert(right.end(), whole.begin() + static_cast<std::ptrdiff_t>(row * 256 + 128),
                         whole.begin() + static_cast<std::ptrdiff_t>(row * 256 + 256));
        return right;
    }()); // no window touches the damaged block
}

TEST_CASE("blocks of every layout are read as they are")
{
    const TempFolder folder;
    const std::string path = folder / "fuel.tif";
    struct Layout {
        int cols, rows, most;
        std::vector<std::string> options;
        GDALDataType type = GDT_Byte;
        int bands = 1;
    };
    const std::string deflate = "COMPRESS=DEFLATE";
    for (const Layout& layout : std::vector<Layout>{
             {100, 90, 255, {"TILED=YES", "BLOCKXSIZE=64", "BLOCKYSIZE=64"}},
             {100, 90, 255, {"TILED=YES", "BLOCKXSIZE=128", "BLOCKYSIZE=128"}},
             {64, 90, 255, {"TILED=YES", "BLOCKXSIZE=64", "BLOCKYSIZE=64"}}, // as wide as a strip
             {64, 90, 255, {"BLOCKYSIZE=64"}},                               // as high as a tile
             {100, 90, 255, {"BLOCKYSIZE=1"}},
             {100, 90, 255, {"BLOCKYSIZE=17"}},
             {100, 90, 255, {"BLOCKYSIZE=90"}},
             {10, 2500, 255, {"BLOCKYSIZE=2500"}}, // shown as rows
             {10, 2500, 255, {"BLOCKYSIZE=1"}},
             {101, 90, 1, {"NBITS=1", "BLOCKYSIZE=17"}},
             {101, 90, 15, {"NBITS=4", "TILED=YES", "BLOCKXSIZE=64", "BLOCKYSIZE=64"}},
             {101, 90, 255, {"PREDICTOR=2", "BLOCKYSIZE=17"}, GDT_UInt16},
             {101, 90, 255, {"PREDICTOR=3", "BLOCKYSIZE=17"}, GDT_Float32},
             {101, 90, 255, {"INTERLEAVE=PIXEL", "BLOCKYSIZE=17"}, GDT_UInt16, 3},
             {101, 90, 255, {"INTERLEAVE=BAND", "BLOCKYSIZE=17"}, GDT_UInt16, 3},
             {101, 90, 1, {"INTERLEAVE=PIXEL", "NBITS=1", "BLOCKYSIZE=17"}, GDT_Byte, 3},
         }) {
        CAPTURE(layout.options);
        std::vector<std::string> options = layout.options;
        options.push_back(deflate);
        const std::vector<double> cells = noise(layout.cols * layout.rows, layout.most);
        write_raster(path,
                     {.cols = layout.cols,
                      .rows = layout.rows,
                      .type = layout.type,
                      .bands = layout.bands,
                      .options = options},
                     cells);
        const GDALDatasetUniquePtr file = open(path);
        const auto blocks =
            DeflateBlocks::of(GDALRasterBand::ToHandle(file->GetRasterBand(1)), path);
        REQUIRE(blocks); // there is something to prove
        CHECK(read_blocks(path, {0, 0, layout.cols, layout.rows}) ==
              Bytes(cells.begin(), cells.end()));
        CHECK(read_blocks(path, {9, layout.rows - 1, 1, 1}) ==
              Bytes{static_cast<std::uint8_t>(
                  cells[static_cast<std::size_t>((layout.rows - 1) * layout.cols + 9)])});
        std::filesystem::remove(path);
    }
}

TEST_CASE("blocks that a sparse raster leaves out, and those of a mask, are proved too")
{
    const TempFolder folder;
    const std::string path = folder / "fuel.tif";
    Bytes mask(100 * 90, 255);
    mask[4'000] = 0;
    write_raster(
        path,
        {.cols = 100, .rows = 90, .options = {"COMPRESS=DEFLATE", "SPARSE_OK=TRUE"}, .mask = mask},
        {});
    CHECK(read_blocks(path, {0, 0, 100, 90}) == Bytes(100 * 90, 0));
    const GDALDatasetUniquePtr file = open(path);
    GDALRasterBandH of_mask = GDALRasterBand::ToHandle(file->GetRasterBand(1)->GetMaskBand());
    REQUIRE(DeflateBlocks::of(of_mask, path));
    BandReader reader{of_mask, path};
    Bytes visible(100 * 90);
    reader.read({0, 0, 100, 90}, visible.data(), GDT_Byte);
    CHECK(visible == mask);
}

TEST_CASE("rasters without checksums are left to their reader")
{
    const TempFolder folder;
    const std::string path = folder / "fuel.tif";
    for (const char* compress : {"COMPRESS=NONE", "COMPRESS=LZW", "COMPRESS=ZSTD"}) {
        write_raster(path, {.options = {compress}}, noise(12, 255));
        const GDALDatasetUniquePtr file = open(path);
        CHECK_FALSE(DeflateBlocks::of(GDALRasterBand::ToHandle(file->GetRasterBand(1)), path));
    }
}

TEST_CASE("a huge raster packed as one strip is refused, since each row would unpack it all")
{
    const TempFolder folder;
    const std::string path = folder / "fuel.tif";
    write_raster(path,
                 {.cols = 30'000,
                  .rows = 2'300,
                  .options = {"COMPRESS=DEFLATE", "BLOCKYSIZE=2300", "ZLEVEL=1"}},
                 {});
    const Error e = error_of([&] { read_blocks(path, {0, 0, 1, 1}); });
    CHECK(e.kind() == Failure::input);
    CHECK(e.message().find("2300 rows are packed as one strip of 65 MiB; 64 is the most") !=
          std::string::npos);
}
