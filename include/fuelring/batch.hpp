// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>
#include <fuelring/fuel_classes.hpp>
#include <fuelring/measure.hpp>
#include <fuelring/raster_view.hpp>

#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <stop_token>
#include <variant>

namespace fuelring {

/// Footprints as well-known binary (OGC 06-103r4, and PostGIS's EWKB), one span for each feature in
/// either byte order; an empty one is null. Coordinates are those of the raster's CRS. Z and M are
/// passed over; points and lines beside polygons, too. Curves are not taken.
struct WkbView {
    std::span<const std::span<const std::byte>> features;
};

/// Offsets of a GeoArrow layout, of 32 or 64 bits: part k is what lies from [k] to before [k + 1].
struct OffsetsView {
    std::variant<std::span<const std::int32_t>, std::span<const std::int64_t>> values;

    std::size_t size() const
    {
        return std::visit([](const auto& v) { return v.size(); }, values);
    }
    std::int64_t operator[](std::size_t k) const
    {
        return std::visit([k](const auto& v) { return static_cast<std::int64_t>(v[k]); }, values);
    }
};

/// Footprints in the GeoArrow layout: features to polygons to rings to coordinates, the first ring
/// of a polygon its shell. A feature without polygons is null.
struct PolygonsView {
    OffsetsView features; ///< into `polygons`; empty: every polygon is a feature
    OffsetsView polygons; ///< into `rings`
    OffsetsView rings;    ///< into the coordinates
    const double* x = nullptr;
    const double* y = nullptr;
    std::size_t coordinates = 0; ///< how many
    std::size_t stride = 1;      ///< doubles from one to the next: 1 apart, 2 for x, y, x, y
};

using FootprintsView = std::variant<WkbView, PolygonsView>;

/// How a feature fared. Only the first two have figures.
enum class FeatureStatus : std::uint8_t {
    ok = 0,
    repaired = 1,     ///< its outline crossed itself (even-odd, as `repaired` of repair.hpp)
    empty = 2,        ///< null, or without area
    not_finite = 3,   ///< a coordinate that is not finite, or over 100,000 km off
    not_polygons = 4, ///< points, lines or curves only
    malformed = 5,    ///< not well-known binary
    failed = 6,       ///< it could not be repaired
    too_large = 7,    ///< its rings take more than 2^26 cells
};
/// "ok", "repaired", ...
FUELRING_EXPORT const char* name_of(FeatureStatus status);

/// Where results go. A span is empty (not wanted) or has a place for each feature, those by ring
/// for each feature and ring: [feature * rings + ring]. What is not known is NaN, never 0.
struct Columns {
    std::span<FeatureStatus> status{};
    std::span<double> exposure{};
    std::span<double> nearest_conifer_m{};
    std::span<double> footprint_m2{};
    std::span<double> roof_canopy_m2{};
    std::span<double> ring_m2{};
    std::span<double> mapped_m2{};
    std::span<double> conifer_m2{};
    std::span<double> conifer_frac{};
    std::span<double> other_burnable_frac{}; ///< NaN where the raster holds shares
    std::span<double> unmapped_frac{};
};

/// What a batch heeds beside its data.
struct BatchOptions {
    int jobs = 1; ///< threads; below 1: as many as there are cores
    bool unknown_codes_are_unmapped = false;
    /// Units of the CRS in a metre of the ground, at a place; may be called from several threads.
    /// None: the grid's distances stand.
    std::function<LocalScale(Point map)> scale{};
    /// By feature; empty: round rings. In the frame of the feature, whose axes are those of
    /// the grid (CellFrame of grid.hpp).
    std::span<const RingStretch> stretches{};
    /// Features done and in all; from one thread at a time, not always the caller's.
    std::function<void(std::size_t done, std::size_t all)> progress{};
    std::stop_token stop{};
};

/// Measures every footprint as `fuelring map` does, to the last bit: its own frame, repaired,
/// outlines, cells in windows that neighbours share. Nothing that the views show is copied as a
/// whole; a thread holds one window and a handful of footprints at a time.
/// Law: the same bits for any number of jobs and any order of features.
/// Throws: Error{usage} for a plan that is not valid; Error{input} naming codes that the table
/// lacks, unless they are unmapped by the options; Error{interrupted} after a stop;
/// std::invalid_argument for columns, offsets or stretches of the wrong length, before anything is
/// measured. Columns then hold what was done so far.
FUELRING_EXPORT void measure_all(const FootprintsView& footprints, const RasterView& raster,
                                 const FuelClassTable& classes, const RingPlan& plan,
                                 const Columns& columns, const BatchOptions& options = {});

/// Where a surface goes: a value for each cell of the raster, row by row.
struct SurfaceView {
    float* values = nullptr;
    std::ptrdiff_t row_stride = 0; ///< floats from row to row
};

/// The priority surface of all footprints with figures, as in priority.tif of `fuelring map`, to
/// the last bit: points of exposure that clearing a cell would save, NaN where no ring reaches or
/// nothing is mapped. The sum over the cells, in doubles before they become floats.
/// Law: that sum is the summed exposure of the footprints, to rounding.
/// Throws: as measure_all; Error{input} as SurfaceTile::finish.
FUELRING_EXPORT double priority_surface(const FootprintsView& footprints, const RasterView& raster,
                                        const FuelClassTable& classes, const RingPlan& plan,
                                        const SurfaceView& surface,
                                        const BatchOptions& options = {});

} // namespace fuelring
