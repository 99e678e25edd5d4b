// SPDX-License-Identifier: Apache-2.0

// Reading windows of the fuel raster. Cells are read in the type of the file and looked at before
// anything is converted: GDAL would turn 300 into 255 and NaN into 0 without a word.
#include "io/raster/fuel_codes.hpp"
#include "io/raster/fuel_file.hpp"
#include "io/raster/fuel_look.hpp"
#include "io/raster/fuel_raster.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <stdexcept>

namespace fuelring {

namespace {

/// The nodata value, where the band has one that a cell of type T can hold.
template <typename T>
std::optional<T> nodata_code(GDALRasterBandH band)
{
    int has = 0;
    if constexpr (std::is_same_v<T, std::int64_t>) {
        const std::int64_t value = GDALGetRasterNoDataValueAsInt64(band, &has);
        return has ? std::optional{value} : std::nullopt;
    } else if constexpr (std::is_same_v<T, std::uint64_t>) {
        const std::uint64_t value = GDALGetRasterNoDataValueAsUInt64(band, &has);
        return has ? std::optional{value} : std::nullopt;
    } else {
        const double value = GDALGetRasterNoDataValue(band, &has);
        if (!has || std::isnan(value))
            return std::nullopt; // a cell that is not a number is nodata in any case
        if constexpr (std::is_same_v<T, float>)
            return std::abs(value) <= std::numeric_limits<float>::max()
                       ? static_cast<float>(value)
                       : std::copysign(std::numeric_limits<float>::infinity(),
                                       static_cast<float>(value < 0 ? -1 : 1));
        if (std::is_integral_v<T> && (value < static_cast<double>(std::numeric_limits<T>::min()) ||
                                      value > static_cast<double>(std::numeric_limits<T>::max()) ||
                                      value != std::trunc(value)))
            return std::nullopt;
        return static_cast<T>(value);
    }
}

} // namespace

struct FuelRaster::Reader::Impl {
    virtual ~Impl() = default;
    virtual void read(const CellRect& rect, std::span<ClassIndex> out) = 0;
    virtual void count(const CellRect& rect, CodeCensus& census) = 0;

    static void note_unknown(const FuelRaster& raster)
    {
        raster.met_unknown_.store(true, std::memory_order_relaxed);
    }
};

namespace {

template <typename T, typename Base>
class TypedReader final : public Base {
public:
    explicit TypedReader(const FuelRaster& raster)
        : raster_{raster}, file_{raster}, codes_{raster.classes(), nodata_code<T>(file_.band())}
    {}

    void read(const CellRect& rect, std::span<ClassIndex> out) override
    {
        if (out.size() != static_cast<std::size_t>(rect.cols * rect.rows))
            throw std::logic_error{"FuelRaster::Reader::read: the room does not fit the window"};
        const CellRect inside = intersection(rect, raster_.grid().extent());
        if (!(inside == rect))
            std::fill(out.begin(), out.end(), no_data_class);
        if (inside.empty())
            return;
        const std::span<const T> cells = file_.load<T>(inside);
        if (cells.empty()) {
            std::fill(out.begin(), out.end(), no_data_class);
            return;
        }
        const auto cols = static_cast<std::size_t>(inside.cols);
        ClassIndex highest = 0;
        for (std::size_t row = 0; row < static_cast<std::size_t>(inside.rows); ++row) {
            const std::span<ClassIndex> line = line_of(out, rect, inside, row);
            if (!codes_.translate(cells.subspan(row * cols, cols), line, highest))
                complain(cells, inside);
            if (file_.has_mask())
                hide(row * cols, line);
        }
        if (highest != unknown_class)
            return;
        Base::note_unknown(raster_);
        std::replace(out.begin(), out.end(), unknown_class, no_data_class);
    }

    void count(const CellRect& rect, CodeCensus& census) override
    {
        const CellRect inside = intersection(rect, raster_.grid().extent());
        if (inside.empty())
            return;
        const std::span<const T> cells = file_.load<T>(inside);
        std::vector<T> seen;
        if (cells.empty())
            census.nodata_cells += inside.cols * inside.rows;
        if (file_.has_mask()) {
            for (std::size_t k = 0; k < cells.size(); ++k)
                if (file_.visible()[k] != 0)
                    seen.push_back(cells[k]);
            census.nodata_cells += static_cast<std::int64_t>(cells.size() - seen.size());
        }
        if (!codes_.count(file_.has_mask() ? seen : cells, census))
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
            if (file_.visible()[first + k] == 0)
                line[k] = no_data_class;
    }

    [[noreturn]] void complain(std::span<const T> cells, const CellRect& rect)
    {
        const auto found =
            std::find_if(cells.begin(), cells.end(), [&](T cell) { return !codes_.is_code(cell); });
        const SourceCell at = file_.source_cell(rect, found - cells.begin());
        FuelLook look{{}, "check inputs.fuel.band: classes are whole numbers"};
        if constexpr (std::is_floating_point_v<T>)
            look = look_at(cells);
        throw Error{
            Failure::input,
            fmt::format("the cell in column {}, row {} is {}, which is not a class code{}{}",
                        at.col, at.row, *found, look.words.empty() ? "" : "; ", look.words),
            file_.path(), look.remedy};
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
                                 GDALGetDataTypeName(GDALGetRasterDataType(file_.band())),
                                 raster_.source().classes);
    }

    const FuelRaster& raster_;
    FuelFile file_;
    CodeIndex<T> codes_;
};

/// The reader for the cell type of the band.
template <typename Base>
std::unique_ptr<Base> make_reader(const FuelRaster& raster)
{
    const FuelFile file{raster};
    const char* pixels = GDALGetMetadataItem(file.band(), "PIXELTYPE", "IMAGE_STRUCTURE");
    switch (GDALGetRasterDataType(file.band())) {
    case GDT_Byte:
        if (pixels && std::strcmp(pixels, "SIGNEDBYTE") == 0)
            return std::make_unique<TypedReader<std::int8_t, Base>>(raster);
        return std::make_unique<TypedReader<std::uint8_t, Base>>(raster);
    case GDT_UInt16:
        return std::make_unique<TypedReader<std::uint16_t, Base>>(raster);
    case GDT_Int16:
        return std::make_unique<TypedReader<std::int16_t, Base>>(raster);
    case GDT_UInt32:
        return std::make_unique<TypedReader<std::uint32_t, Base>>(raster);
    case GDT_Int32:
        return std::make_unique<TypedReader<std::int32_t, Base>>(raster);
    case GDT_UInt64:
        return std::make_unique<TypedReader<std::uint64_t, Base>>(raster);
    case GDT_Int64:
        return std::make_unique<TypedReader<std::int64_t, Base>>(raster);
    case GDT_Float32:
        return std::make_unique<TypedReader<float, Base>>(raster);
    case GDT_Float64:
        return std::make_unique<TypedReader<double, Base>>(raster);
    default:
        throw Error{Failure::input, "cells of this type are not class codes", file.path(),
                    "check inputs.fuel.band"};
    }
}

} // namespace

FuelRaster::Reader::Reader(const FuelRaster& raster)
    : raster_{&raster}, impl_{make_reader<Impl>(raster)}
{}
FuelRaster::Reader::~Reader() = default;
FuelRaster::Reader::Reader(Reader&&) noexcept = default;

void FuelRaster::Reader::read(const CellRect& rect, std::span<ClassIndex> out)
{
    impl_->read(rect, out);
    raster_->corrections().apply(rect, out);
}

void FuelRaster::Reader::count(const CellRect& rect, CodeCensus& census)
{
    impl_->count(rect, census);
}

} // namespace fuelring
