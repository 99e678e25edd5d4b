// SPDX-License-Identifier: Apache-2.0
#include "reference_chain.hpp"

#include <gdal_alg.h>
#include <ogr_api.h>

#include <fstream>
#include <map>
#include <stdexcept>

namespace reference {
namespace {

/// Halves a window until its parts are full, empty or single cells.
class Halver {
public:
    Halver(const Geos& geos, std::vector<Run>& out) : geos_(geos), out_(out) {}

    void descend(const GEOSGeometry* shape, int row0, int col0, int row1, int col1)
    {
        const Geos::Geometry part =
            geos_.own(GEOSClipByRect_r(geos_.handle(), shape, col0, row0, col1, row1));
        if (!part || GEOSisEmpty_r(geos_.handle(), part.get()))
            return;
        const double covered = geos_.area(part);
        const int height = row1 - row0, width = col1 - col0;
        const double whole = static_cast<double>(height) * width;
        if (covered >= whole * (1 - 1e-12)) {
            for (int row = row0; row < row1; ++row)
                out_.push_back({row, col0, col1 - 1, 1});
        } else if (whole == 1) {
            out_.push_back({row0, col0, col0, covered});
        } else if (width >= height) {
            const int middle = col0 + width / 2;
            descend(part.get(), row0, col0, row1, middle);
            descend(part.get(), row0, middle, row1, col1);
        } else {
            const int middle = row0 + height / 2;
            descend(part.get(), row0, col0, middle, col1);
            descend(part.get(), middle, col0, row1, col1);
        }
    }

private:
    const Geos& geos_;
    std::vector<Run>& out_;
};

std::vector<std::string> split_csv(const std::string& line)
{
    std::vector<std::string> cells(1);
    bool quoted = false;
    for (const char c : line) {
        if (c == '"')
            quoted = !quoted;
        else if (c == ',' && !quoted)
            cells.emplace_back();
        else if (c != '\r')
            cells.back() += c;
    }
    return cells;
}

} // namespace

Geos::Geos() : handle_(GEOS_init_r()) {}

Geos::~Geos()
{
    GEOS_finish_r(handle_);
}

double Geos::area(const Geometry& geometry) const
{
    double value = 0;
    GEOSArea_r(handle_, geometry.get(), &value);
    return value;
}

std::vector<Run> exact_coverage(const Geos& geos, const GEOSGeometry* shape, int cols, int rows)
{
    std::vector<Run> runs;
    Halver{geos, runs}.descend(shape, 0, 0, rows, cols);
    return runs;
}

std::vector<Run> centre_coverage(const Geos& geos, const GEOSGeometry* shape, int cols, int rows)
{
    std::size_t size = 0;
    unsigned char* wkb = GEOSGeomToWKB_buf_r(geos.handle(), shape, &size);
    OGRGeometryH geometry = nullptr;
    OGR_G_CreateFromWkb(wkb, nullptr, &geometry, static_cast<int>(size));
    GEOSFree_r(geos.handle(), wkb);
    std::vector<std::uint8_t> mask(static_cast<std::size_t>(cols) * static_cast<std::size_t>(rows));
    const DatasetPtr memory{
        GDALCreate(GDALGetDriverByName("MEM"), "", cols, rows, 0, GDT_Byte, nullptr)};
    const std::string pointer =
        "DATAPOINTER=" + std::to_string(reinterpret_cast<std::uintptr_t>(mask.data()));
    char* options[] = {const_cast<char*>(pointer.c_str()), nullptr};
    GDALAddBand(memory.get(), GDT_Byte, options);
    double identity[6] = {0, 1, 0, 0, 0, 1};
    GDALSetGeoTransform(memory.get(), identity);
    int band = 1;
    double burn = 1;
    GDALRasterizeGeometries(memory.get(), 1, &band, 1, &geometry, nullptr, nullptr, &burn, nullptr,
                            nullptr, nullptr);
    OGR_G_DestroyGeometry(geometry);
    std::vector<Run> runs;
    for (int row = 0; row < rows; ++row) {
        const std::uint8_t* cells =
            mask.data() + static_cast<std::size_t>(row) * static_cast<std::size_t>(cols);
        for (int col = 0; col < cols; ++col) {
            if (cells[col] == 0)
                continue;
            const int first = col;
            while (col + 1 < cols && cells[col + 1] != 0)
                ++col;
            runs.push_back({row, first, col, 1});
        }
    }
    return runs;
}

Classes read_classes(const std::string& path)
{
    Classes classes{};
    std::ifstream in{path};
    std::map<std::string, std::size_t> column;
    for (std::string line; std::getline(in, line);) {
        if (line.empty() || line[0] == '#')
            continue;
        const std::vector<std::string> cells = split_csv(line);
        if (column.empty()) {
            for (std::size_t i = 0; i < cells.size(); ++i)
                column[cells[i]] = i;
            continue;
        }
        const auto code = static_cast<std::size_t>(std::stoi(cells.at(column.at("code"))));
        classes.share[code & 255] = std::stod(cells.at(column.at("conifer_share")));
        classes.mapped[code & 255] = cells.at(column.at("group")) != "unmapped";
    }
    if (column.empty())
        throw std::runtime_error(path + ": no fuel-class table");
    return classes;
}

void SparseSurface::add(int row, int col, double value)
{
    const std::int64_t key =
        static_cast<std::int64_t>(row / tile_cells) * (1 << 20) + col / tile_cells;
    std::vector<float>& tile = tiles_[key];
    if (tile.empty())
        tile.resize(static_cast<std::size_t>(tile_cells) * tile_cells);
    tile[static_cast<std::size_t>(row % tile_cells) * tile_cells +
         static_cast<std::size_t>(col % tile_cells)] += static_cast<float>(value);
}

void SparseSurface::add(const SparseSurface& other)
{
    for (const auto& [key, cells] : other.tiles_) {
        std::vector<float>& tile = tiles_[key];
        if (tile.empty())
            tile.resize(cells.size());
        for (std::size_t i = 0; i < cells.size(); ++i)
            tile[i] += cells[i];
    }
}

void SparseSurface::write(const std::string& path, GDALDatasetH grid_of) const
{
    const char* options[] = {"TILED=YES",        "BLOCKXSIZE=512", "BLOCKYSIZE=512",
                             "COMPRESS=DEFLATE", "SPARSE_OK=TRUE", nullptr};
    const DatasetPtr out{GDALCreate(GDALGetDriverByName("GTiff"), path.c_str(), cols_, rows_, 1,
                                    GDT_Float32, const_cast<char**>(options))};
    double transform[6];
    GDALGetGeoTransform(grid_of, transform);
    GDALSetGeoTransform(out.get(), transform);
    GDALSetSpatialRef(out.get(), GDALGetSpatialRef(grid_of));
    for (const auto& [key, cells] : tiles_) {
        const int row = static_cast<int>(key >> 20) * tile_cells;
        const int col = static_cast<int>(key & ((1 << 20) - 1)) * tile_cells;
        if (GDALRasterIO(GDALGetRasterBand(out.get(), 1), GF_Write, col, row,
                         std::min(tile_cells, cols_ - col), std::min(tile_cells, rows_ - row),
                         const_cast<float*>(cells.data()), std::min(tile_cells, cols_ - col),
                         std::min(tile_cells, rows_ - row), GDT_Float32, 0,
                         tile_cells * static_cast<int>(sizeof(float))) != CE_None)
            throw std::runtime_error(path + ": cannot be written");
    }
}

} // namespace reference
