// SPDX-License-Identifier: Apache-2.0

// Reading windows of the fuel raster. Cells are read in the type of the file and looked at before
// anything is converted: GDAL would turn 300 into 255 and NaN into 0 without a word.
#include "io/raster/band_reader.hpp"
#include "io/raster/fuel_cells.hpp"
#include "io/raster/fuel_codes.hpp"
#include "io/raster/fuel_look.hpp"
#include "io/raster/fuel_raster.hpp"
#include "io/raster/fuel_shares.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <stdexcept>

namespace fuelring {

namespace {

/// The smallest window of the file that holds the places; empty where none is on the raster.
CellRect hull_of(const std::vector<SourceCell>& places)
{
    constexpr std::int64_t none = std::numeric_limits<std::int64_t>::max();
    SourceCell first{none, none};
    SourceCell last{-1, -1};
    for (const SourceCell& place : places)
        if (place.exists()) {
            first = {std::min(first.col, place.col), std::min(first.row, place.row)};
            last = {std::max(last.col, place.col), std::max(last.row, place.row)};
        }
    if (!last.exists())
        return {};
    return {first.col, first.row, last.col + 1 - first.col, last.row + 1 - first.row};
}

/// Cells of type T, the file's own, which `Index` (CodeIndex or ShareIndex) turns into classes.
/// Where the analysis grid is warped, windows are of that grid, and cells off the raster are
/// invisible.
template <typename T, typename Index>
class TypedCells final : public FuelCells {
public:
    TypedCells(const FuelRaster& raster, OpenBand open, Index index)
        : raster_{raster}, open_{std::move(open)}, warp_{raster.warp()}, codes_{std::move(index)}
    {}

    bool read(const CellRect& rect, std::span<ClassIndex> out) override
    {
        if (out.size() != static_cast<std::size_t>(rect.cols * rect.rows))
            throw std::logic_error{"FuelRaster::Reader::read: the room does not fit the window"};
        const CellRect inside = intersection(rect, raster_.grid().extent());
        if (!(inside == rect))
            std::fill(out.begin(), out.end(), no_data_class);
        if (inside.empty())
            return true;
        const std::span<const T> cells = load(inside);
        if (cells.empty()) {
            std::fill(out.begin(), out.end(), no_data_class);
            return true;
        }
        const auto cols = static_cast<std::size_t>(inside.cols);
        ClassIndex highest = 0;
        for (std::size_t row = 0; row < static_cast<std::size_t>(inside.rows); ++row) {
            const std::span<ClassIndex> line = line_of(out, rect, inside, row);
            if (!codes_.translate(cells.subspan(row * cols, cols), line, highest))
                complain(cells, inside);
            if (has_mask())
                hide(row * cols, line);
        }
        if (highest != unknown_class)
            return true;
        std::replace(out.begin(), out.end(), unknown_class, no_data_class);
        return false;
    }

    void count(const CellRect& rect, CodeCensus& census) override
    {
        const CellRect inside = intersection(rect, raster_.grid().extent());
        if (inside.empty())
            return;
        const std::span<const T> cells = load(inside);
        std::vector<T> seen;
        if (cells.empty())
            census.nodata_cells += inside.cols * inside.rows;
        if (has_mask()) {
            for (std::size_t k = 0; k < cells.size(); ++k)
                if (visible()[k] != 0)
                    seen.push_back(cells[k]);
            census.nodata_cells += static_cast<std::int64_t>(cells.size() - seen.size());
        }
        if (!codes_.count(has_mask() ? seen : cells, census))
            complain(cells, inside);
    }

private:
    /// Where row `row` of `inside` stands in a window of `rect`.
    static std::span<ClassIndex> line_of(std::span<ClassIndex> out, const CellRect& rect,
                                         const CellRect& inside, std::size_t row)
    {
        const std::int64_t first =
            (inside.row - rect.row + static_cast<std::int64_t>(row)) * rect.cols +
            (inside.col - rect.col);
        return out.subspan(static_cast<std::size_t>(first), static_cast<std::size_t>(inside.cols));
    }

    void hide(std::size_t first, std::span<ClassIndex> line) const
    {
        for (std::size_t k = 0; k < line.size(); ++k)
            if (visible()[first + k] == 0)
                line[k] = no_data_class;
    }

    [[noreturn]] void complain(std::span<const T> cells, const CellRect& rect)
    {
        const auto found =
            std::find_if(cells.begin(), cells.end(), [&](T cell) { return !codes_.is_code(cell); });
        const SourceCell at = source_cell(rect, found - cells.begin());
        FuelLook look{{}, "check inputs.fuel.band: classes are whole numbers"};
        if constexpr (std::is_floating_point_v<T>)
            look = look_at(cells);
        throw Error{
            Failure::input,
            fmt::format("the cell in column {}, row {} is {}, which is not a class code{}{}",
                        at.col, at.row, *found, look.words.empty() ? "" : "; ", look.words),
            raster_.source().path, look.remedy};
    }

    FuelLook look_at(std::span<const T> cells) const
    {
        double least = std::numeric_limits<double>::infinity();
        double most = -least;
        for (const T cell : cells) {
            if (codes_.is_nodata(cell))
                continue;
            least = std::min(least, static_cast<double>(cell));
            most = std::max(most, static_cast<double>(cell));
        }
        return look_of_fractions(least, most,
                                 GDALGetDataTypeName(GDALGetRasterDataType(open_.cells.band())));
    }

    bool has_mask() const { return open_.mask || warp_; }
    /// 0 for every cell of the window that the mask or the edge of the raster hides.
    const std::vector<std::uint8_t>& visible() const { return warp_ ? warped_visible_ : visible_; }
    /// Where in the file cell `at` of a window of the analysis grid stands.
    SourceCell source_cell(const CellRect& rect, std::ptrdiff_t at)
    {
        if (warp_)
            return warp_->locate(rect)[static_cast<std::size_t>(at)];
        return {rect.col + at % rect.cols, rect.row + at / rect.cols};
    }

    /// Cells of a rectangle of the analysis grid, good until the next call, and visible(). Empty
    /// where no cell of it lies on the raster. Throws: Error{input} with GDAL's reason when a block
    /// cannot be read.
    std::span<const T> load(const CellRect& rect)
    {
        if (!warp_) {
            read_window(rect);
            return cells_;
        }
        const std::vector<SourceCell>& places = warp_->locate(rect);
        const CellRect window = hull_of(places);
        if (window.empty())
            return {};
        read_window(window);
        pick(places, window);
        return warped_;
    }

    /// Fills cells_ and visible_ with a window of the file.
    void read_window(const CellRect& window)
    {
        cells_.resize(static_cast<std::size_t>(window.cols * window.rows));
        open_.cells.read(window, cells_.data(), GDALGetRasterDataType(open_.cells.band()));
        if (open_.mask) {
            visible_.resize(cells_.size());
            open_.mask->read(window, visible_.data(), GDT_Byte);
        }
    }

    /// Nearest neighbours. Hidden cells repeat the first visible one: they must not look like
    /// codes that the raster does not hold.
    void pick(const std::vector<SourceCell>& places, const CellRect& window)
    {
        const auto index = [&window](const SourceCell& place) {
            return static_cast<std::size_t>((place.row - window.row) * window.cols + place.col -
                                            window.col);
        };
        warped_.resize(places.size());
        warped_visible_.resize(places.size());
        const auto first = std::find_if(places.begin(), places.end(),
                                        [](const SourceCell& place) { return place.exists(); });
        const T hidden = first == places.end() ? T{} : cells_[index(*first)];
        for (std::size_t k = 0; k < places.size(); ++k) {
            const bool exists = places[k].exists();
            warped_[k] = exists ? cells_[index(places[k])] : hidden;
            warped_visible_[k] = exists && (!open_.mask || visible_[index(places[k])]) ? 255 : 0;
        }
    }

    const FuelRaster& raster_;
    OpenBand open_;
    std::optional<WarpMap> warp_; ///< only where the analysis grid is warped
    Index codes_;
    std::vector<T> cells_, warped_;
    std::vector<std::uint8_t> visible_, warped_visible_;
};

BandScale scale_of(GDALRasterBandH band)
{
    int has_scale = 0, has_offset = 0;
    const double scale = GDALGetRasterScale(band, &has_scale);
    const double offset = GDALGetRasterOffset(band, &has_offset);
    return {has_scale ? scale : 1, has_offset ? offset : 0};
}

template <typename T>
std::unique_ptr<FuelCells> typed_cells(const FuelRaster& raster, OpenBand open)
{
    GDALRasterBandH band = open.cells.band();
    const std::optional<T> nodata = nodata_of<T>(band);
    if (raster.source().holds_shares()) {
        ShareIndex<T> shares{raster.source().values, scale_of(band), nodata};
        return std::make_unique<TypedCells<T, ShareIndex<T>>>(raster, std::move(open),
                                                              std::move(shares));
    }
    return std::make_unique<TypedCells<T, CodeIndex<T>>>(raster, std::move(open),
                                                         CodeIndex<T>{raster.classes(), nodata});
}

/// The reader for the cell type of the band.
std::unique_ptr<FuelCells> cells_of(const FuelRaster& raster)
{
    const FuelSource& source = raster.source();
    if (raster.layer())
        return std::make_unique<PolygonCells>(*raster.layer(), raster.classes());
    OpenBand open{raster.place()};
    GDALRasterBandH band = open.cells.band();
    const auto of = [&](auto cell) -> std::unique_ptr<FuelCells> {
        return typed_cells<decltype(cell)>(raster, std::move(open));
    };
    const char* pixels = GDALGetMetadataItem(band, "PIXELTYPE", "IMAGE_STRUCTURE");
    switch (GDALGetRasterDataType(band)) {
    case GDT_Byte:
        return pixels && std::strcmp(pixels, "SIGNEDBYTE") == 0 ? of(std::int8_t{})
                                                                : of(std::uint8_t{});
    case GDT_UInt16:
        return of(std::uint16_t{});
    case GDT_Int16:
        return of(std::int16_t{});
    case GDT_UInt32:
        return of(std::uint32_t{});
    case GDT_Int32:
        return of(std::int32_t{});
    case GDT_UInt64:
        return of(std::uint64_t{});
    case GDT_Int64:
        return of(std::int64_t{});
    case GDT_Float32:
        return of(float{});
    case GDT_Float64:
        return of(double{});
    default:
        throw Error{Failure::input, "cells of this type are neither class codes nor shares",
                    source.path, "check inputs.fuel.band"};
    }
}

} // namespace

FuelRaster::Reader::Reader(const FuelRaster& raster) : raster_{&raster}, cells_{cells_of(raster)} {}
FuelRaster::Reader::~Reader() = default;
FuelRaster::Reader::Reader(Reader&&) noexcept = default;

void FuelRaster::Reader::read(const CellRect& rect, std::span<ClassIndex> out)
{
    if (!cells_->read(rect, out))
        raster_->met_unknown_.store(true, std::memory_order_relaxed);
    raster_->corrections().apply(rect, out);
}

void FuelRaster::Reader::count(const CellRect& rect, CodeCensus& census)
{
    cells_->count(rect, census);
}

} // namespace fuelring
