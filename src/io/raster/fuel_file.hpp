// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/gdal/handles.hpp"
#include "io/georeference/warp_map.hpp"
#include "io/raster/band_reader.hpp"
#include "io/raster/fuel_raster.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// The open fuel raster, and the window that was read last, in the cell type of the file.
/// Where the analysis grid is warped, windows are of that grid, and cells off the raster are
/// invisible.
class FuelFile {
public:
    /// Throws: Error{input} when the file is no longer the one that `raster` was made from.
    explicit FuelFile(const FuelRaster& raster);

    GDALRasterBandH band() const { return cells_->band(); }
    const std::string& path() const { return path_; }
    bool has_mask() const { return mask_ || warp_; }
    /// 0 for every cell of the window that the mask or the edge of the raster hides.
    const std::vector<std::uint8_t>& visible() const { return warp_ ? warped_visible_ : visible_; }
    /// Where in the file cell `at` of a window of the analysis grid stands.
    SourceCell source_cell(const CellRect& rect, std::ptrdiff_t at);

    /// Cells of a rectangle of the analysis grid; good until the next call. Also fills visible().
    /// Empty where no cell of it lies on the raster. Requires: `rect` lies on the analysis grid.
    /// Throws: Error{input} with GDAL's reason when a block cannot be read.
    template <typename T>
    std::span<const T> load(const CellRect& rect)
    {
        const auto n = static_cast<std::size_t>(rect.cols * rect.rows);
        if (!warp_) {
            read_window(rect, sizeof(T));
            return {reinterpret_cast<const T*>(buffer_.data()), n}; // new aligns for every scalar
        }
        const std::vector<SourceCell>& places = warp_->locate(rect);
        const CellRect window = hull_of(places);
        if (window.empty())
            return {};
        read_window(window, sizeof(T));
        warped_.resize(n * sizeof(T));
        pick(places, window, reinterpret_cast<const T*>(buffer_.data()),
             reinterpret_cast<T*>(warped_.data()));
        return {reinterpret_cast<const T*>(warped_.data()), n};
    }

private:
    static CellRect hull_of(const std::vector<SourceCell>& places);
    /// Fills buffer_ and visible_ with a window of the file.
    void read_window(const CellRect& window, std::size_t cell_bytes);

    /// Nearest neighbours. Hidden cells repeat the first visible one: they must not look like
    /// codes that the raster does not hold.
    template <typename T>
    void pick(const std::vector<SourceCell>& places, const CellRect& window, const T* cells, T* out)
    {
        const auto index = [&window](const SourceCell& place) {
            return static_cast<std::size_t>((place.row - window.row) * window.cols + place.col -
                                            window.col);
        };
        warped_visible_.resize(places.size());
        T last = T{};
        for (const SourceCell& place : places)
            if (place.exists()) {
                last = cells[index(place)];
                break;
            }
        for (std::size_t k = 0; k < places.size(); ++k) {
            const bool exists = places[k].exists();
            out[k] = exists ? cells[index(places[k])] : last;
            warped_visible_[k] = exists && (!mask_ || visible_[index(places[k])]) ? 255 : 0;
        }
    }

    std::string path_;
    DatasetPtr file_;
    std::optional<BandReader> cells_;
    std::optional<BandReader> mask_; ///< only where the file carries one
    std::optional<WarpMap> warp_;    ///< only where the analysis grid is warped
    std::vector<std::byte> buffer_, warped_;
    std::vector<std::uint8_t> visible_, warped_visible_;
};

} // namespace fuelring
