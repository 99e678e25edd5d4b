// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/raster/deflate_blocks.hpp"
#include "io/raster/mosaic_reader.hpp"

#include <cmath>
#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <type_traits>

namespace fuelring {

/// One band, or mask, of an open raster file, of which windows are read. The dataset must stay
/// open.
/// For one thread, as the dataset is.
class BandReader {
public:
    /// `path` is for messages. Throws: Error{input} where the band is packed in blocks too large to
    /// prove.
    BandReader(GDALRasterBandH band, std::string path);
    /// The cells of a mosaic, or their mask.
    enum class Part { cells, mask };
    BandReader(std::shared_ptr<MosaicReader> mosaic, Part part);

    GDALRasterBandH band() const { return band_; }
    /// Null where the band is that of one file.
    const std::shared_ptr<MosaicReader>& mosaic() const { return mosaic_; }

    /// Reads a window as cells of `type`. Requires: it lies on the raster, and `into` holds it.
    /// Throws: Error{input}, with GDAL's reason, when a block cannot be read or is damaged.
    /// Shape: rect.cols x rect.rows cells, row by row from the top, without gaps. Numbers are
    /// converted as GDAL does it, which clamps: who must not lose a value asks for the type of the
    /// file.
    void read(const CellRect& rect, void* into, GDALDataType type);

private:
    GDALRasterBandH band_;
    std::string path_;
    std::unique_ptr<DeflateBlocks> blocks_;  ///< only where they carry a checksum
    std::shared_ptr<MosaicReader> mosaic_{}; ///< of tiles, which prove their blocks themselves
    Part part_ = Part::cells;
};

/// The declared nodata value as cells of type T hold it; none where there is none that they could
/// hold. GDAL hands all but 64-bit integers over as a double: for float cells it is rounded to a
/// float as the cells were, beyond the largest float to infinity. A cell that is not a number is
/// nodata in any case.
/// Where T is whole, a value beyond its range or with a fraction is as none: no cell can hold it.
template <typename T>
std::optional<T> nodata_of(GDALRasterBandH band)
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
            return std::nullopt;
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

/// One band of a configured raster, opened again for one thread, and the mask its file carries.
/// Tiles always have a mask, which tells where none of them lies.
/// Members are destroyed in the order that closes the file last.
struct OpenBand {
    ///     OpenBand open{raster.place()};
    ///     open.cells.read(rect, cells.data(), GDT_UInt16);
    ///     if (open.mask)
    ///         open.mask->read(rect, visible.data(), GDT_Byte);
    ///
    /// `place`: where the raster lay when it was looked at first; of tiles it must outlive this.
    /// Throws: Error{input} when a file is no longer that one.
    explicit OpenBand(const RasterPlace& place);

    DatasetPtr file; ///< null where there are tiles
    BandReader cells;
    std::optional<BandReader> mask{}; ///< 0 hides a cell
};

} // namespace fuelring
