// SPDX-License-Identifier: Apache-2.0
#include "io/raster/mosaic_reader.hpp"

#include "io/gdal/errors.hpp"
#include "io/raster/band_reader.hpp"

#include <algorithm>
#include <cstring>

namespace fuelring {

struct MosaicReader::Tile {
    Tile(const RasterPlace& place, std::size_t k)
        : path{place.files.tiles[k]}, at{place.tiles[k]},
          open{RasterPlace{{path, {}, place.files.remote_allowed},
                           place.band,
                           place.key,
                           {place.grid.crs, place.grid.geotransform, at.cols, at.rows}}}
    {}

    bool hides_cells() const
    {
        return open.mask || !(GDALGetMaskFlags(open.cells.band()) & GMF_ALL_VALID);
    }
    /// 0 where nodata or the file's own mask hides a cell. Requires: hides_cells().
    void read_visible(const CellRect& own, std::uint8_t* into)
    {
        if (open.mask) {
            open.mask->read(own, into, GDT_Byte);
            return;
        }
        // GDAL makes this mask of the cells, which were read, and proved, just before.
        CPLErrorReset();
        const auto cols = static_cast<int>(own.cols);
        const auto rows = static_cast<int>(own.rows);
        if (GDALRasterIO(GDALGetMaskBand(open.cells.band()), GF_Read, static_cast<int>(own.col),
                         static_cast<int>(own.row), cols, rows, into, cols, rows, GDT_Byte, 0,
                         0) != CE_None)
            throw unreadable_cells(own, gdal_reason(), path);
    }

    std::string path;
    CellRect at; ///< in the mosaic
    OpenBand open;
};

MosaicReader::MosaicReader(const RasterPlace& place) : place_{place}, open_(place.tiles.size())
{
    open(0);
}

MosaicReader::~MosaicReader() = default;

GDALRasterBandH MosaicReader::band() const
{
    return open_.front()->open.cells.band();
}

MosaicReader::Tile& MosaicReader::open(std::size_t k)
{
    if (k > 0) { // the first one stays open
        std::erase(recent_, k);
        recent_.push_back(k);
        if (recent_.size() > most_open) {
            open_[recent_.front()].reset();
            recent_.erase(recent_.begin());
        }
    }
    if (!open_[k])
        open_[k] = std::make_unique<Tile>(place_, k);
    return *open_[k];
}

template <typename Visit>
void MosaicReader::for_each_tile(const CellRect& rect, Visit&& visit)
{
    for (std::size_t k = 0; k < place_.tiles.size(); ++k)
        if (const CellRect part = intersection(rect, place_.tiles[k]); !part.empty())
            visit(open(k), part, place_.on_top[k]);
}

void MosaicReader::read(const CellRect& rect, void* into, GDALDataType type)
{
    const auto bytes = static_cast<std::size_t>(GDALGetDataTypeSizeBytes(type));
    auto* out = static_cast<std::byte*>(into);
    std::memset(out, 0, static_cast<std::size_t>(rect.cols * rect.rows) * bytes);
    for_each_tile(rect, [&](Tile& tile, const CellRect& part, bool on_top) {
        const CellRect own{part.col - tile.at.col, part.row - tile.at.row, part.cols, part.rows};
        const auto cols = static_cast<std::size_t>(part.cols);
        cells_.resize(cols * static_cast<std::size_t>(part.rows) * bytes);
        tile.open.cells.read(own, cells_.data(), type);
        const bool by_cell = on_top && tile.hides_cells();
        if (by_cell) {
            visible_.resize(cols * static_cast<std::size_t>(part.rows));
            tile.read_visible(own, visible_.data());
        }
        for (std::int64_t row = 0; row < part.rows; ++row) {
            std::byte* to = out + static_cast<std::size_t>((part.row - rect.row + row) * rect.cols +
                                                           part.col - rect.col) *
                                      bytes;
            const std::size_t from = static_cast<std::size_t>(row) * cols;
            if (!by_cell)
                std::memcpy(to, &cells_[from * bytes], cols * bytes);
            else
                for (std::size_t k = 0; k < cols; ++k)
                    if (visible_[from + k] != 0)
                        std::memcpy(to + k * bytes, &cells_[(from + k) * bytes], bytes);
        }
    });
}

void MosaicReader::read_mask(const CellRect& rect, std::uint8_t* into)
{
    std::fill_n(into, rect.cols * rect.rows, std::uint8_t{0});
    for_each_tile(rect, [&](Tile& tile, const CellRect& part, bool) {
        const auto cols = static_cast<std::size_t>(part.cols);
        visible_.assign(cols * static_cast<std::size_t>(part.rows), 255);
        if (tile.hides_cells())
            tile.read_visible(
                {part.col - tile.at.col, part.row - tile.at.row, part.cols, part.rows},
                visible_.data());
        for (std::int64_t row = 0; row < part.rows; ++row) {
            std::uint8_t* to = into + (part.row - rect.row + row) * rect.cols + part.col - rect.col;
            for (std::size_t k = 0; k < cols; ++k)
                if (visible_[static_cast<std::size_t>(row) * cols + k] != 0)
                    to[k] = 255;
        }
    });
}

} // namespace fuelring
