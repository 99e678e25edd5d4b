// SPDX-License-Identifier: Apache-2.0

// Reading heights. Cells become metres here, and whatever is no height becomes NaN: nodata, cells
// that a mask hides, numbers that are not finite or no ground of this earth, and blocks that a
// sparse file leaves out (GDAL reads them as 0 where no nodata is declared).
#include "io/gdal/open.hpp"
#include "io/raster/band_reader.hpp"
#include "io/raster/elevation_raster.hpp"

#include <fuelring/error.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace fuelring {

namespace {

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

/// The nodata value as it comes out of a cell that is read as a double; NaN where there is none.
double nodata_height(GDALRasterBandH band)
{
    int has = 0;
    double value = not_known;
    switch (GDALGetRasterDataType(band)) {
    case GDT_Int64:
        value = static_cast<double>(GDALGetRasterNoDataValueAsInt64(band, &has));
        break;
    case GDT_UInt64:
        value = static_cast<double>(GDALGetRasterNoDataValueAsUInt64(band, &has));
        break;
    case GDT_Float32:
        value = GDALGetRasterNoDataValue(band, &has);
        if (std::abs(value) <= static_cast<double>(std::numeric_limits<float>::max()))
            value = static_cast<double>(static_cast<float>(value));
        break;
    default:
        value = GDALGetRasterNoDataValue(band, &has);
    }
    return has ? value : not_known;
}

/// False where cells are so small, large or flat that nothing could be counted in them: a
/// georeference that is nonsense here.
bool is_sane(const HeightLattice& lattice)
{
    constexpr double smallest_m = 1e-4;
    constexpr double largest_m = 1e8;
    const double width_m = std::hypot(lattice.col_step.x, lattice.col_step.y);
    const double height_m = std::hypot(lattice.row_step.x, lattice.row_step.y);
    return width_m > smallest_m && width_m < largest_m && height_m > smallest_m &&
           height_m < largest_m &&
           std::abs(cross(lattice.col_step, lattice.row_step)) > 1e-6 * width_m * height_m;
}

} // namespace

struct ElevationRaster::Reader::Impl {
    explicit Impl(const ElevationRaster& of)
        : raster{of}, file{open_input(of.source_.path, InputKind::raster, of.source_.remote_allowed,
                                      "inputs.elevation")},
          band{GDALGetRasterBand(file.get(), of.source_.band)}, to_elevation{
                                                                    of.from_analysis_.value()}
    {
        if (!band || GDALGetRasterXSize(file.get()) != of.grid_.cols ||
            GDALGetRasterYSize(file.get()) != of.grid_.rows)
            throw Error{Failure::input, "the raster changed while it was read", of.source_.path,
                        "run again"};
        nodata = nodata_height(band);
        cells.emplace(band, of.source_.path);
        if (GDALGetMaskFlags(band) & GMF_PER_DATASET)
            mask.emplace(GDALGetMaskBand(band), of.source_.path);
        const double metres = metres_in(of.unit_.unit);
        scale_m = of.scale_ * metres;
        offset_m = of.offset_ * metres;
        int has_nodata = 0;
        GDALGetRasterNoDataValue(band, &has_nodata);
        may_be_sparse = !has_nodata && !mask;
        same_crs = of.same_crs_;
    }

    /// Column and row of a map point, whole numbers at the centres of cells; false off the map.
    bool to_cells(Point& p) const
    {
        if (!to_elevation.apply(p))
            return false;
        const auto& g = raster.grid_.geotransform;
        const double determinant = g[1] * g[5] - g[2] * g[4];
        const Point d{p.x - g[0], p.y - g[3]};
        p = {(d.x * g[5] - d.y * g[2]) / determinant - 0.5,
             (d.y * g[1] - d.x * g[4]) / determinant - 0.5};
        return std::isfinite(p.x) && std::isfinite(p.y) && std::abs(p.x) < 1e15 &&
               std::abs(p.y) < 1e15;
    }

    /// Columns and rows along `half` on both sides of a place, per metre.
    std::optional<Point> cells_per_metre(const Grid& ground, const CellFrame& frame, Point place,
                                         Point half) const
    {
        Point there = ground.to_map(frame, place + half);
        Point back = ground.to_map(frame, place - half);
        if (!to_cells(there) || !to_cells(back))
            return std::nullopt;
        return (0.5 / std::sqrt(dot(half, half))) * (there - back);
    }

    double height_of(double cell)
    {
        const double height_m = cell * scale_m + offset_m;
        if (cell == nodata || !std::isfinite(height_m))
            return not_known;
        if (height_m >= lowest_ground_m && height_m <= highest_ground_m)
            return height_m;
        impossible = true;
        return not_known;
    }

    void hide_masked()
    {
        visible.resize(window.height_m.size());
        mask->read(window.rect, visible.data(), GDT_Byte);
        for (std::size_t k = 0; k < visible.size(); ++k)
            if (visible[k] == 0)
                window.height_m[k] = not_known;
    }

    bool is_empty(const CellRect& rect) const
    {
        return GDALGetDataCoverageStatus(band, static_cast<int>(rect.col),
                                         static_cast<int>(rect.row), static_cast<int>(rect.cols),
                                         static_cast<int>(rect.rows), 0,
                                         nullptr) == GDAL_DATA_COVERAGE_STATUS_EMPTY;
    }

    /// Block by block, once some of the window is left out of the file.
    void hide_missing_blocks()
    {
        const CellRect& rect = window.rect;
        const int status = GDALGetDataCoverageStatus(
            band, static_cast<int>(rect.col), static_cast<int>(rect.row),
            static_cast<int>(rect.cols), static_cast<int>(rect.rows), 0, nullptr);
        if (!(status & GDAL_DATA_COVERAGE_STATUS_EMPTY))
            return;
        int width = 0;
        int height = 0;
        GDALGetBlockSize(band, &width, &height);
        for (std::int64_t row = rect.row / height; row * height < rect.row + rect.rows; ++row)
            for (std::int64_t col = rect.col / width; col * width < rect.col + rect.cols; ++col) {
                const CellRect part =
                    intersection({col * width, row * height, width, height}, rect);
                if (!part.empty() && is_empty(part))
                    hide(part);
            }
    }

    void hide(const CellRect& part)
    {
        for (std::int64_t row = part.row; row < part.row + part.rows; ++row) {
            const auto first =
                window.height_m.begin() +
                static_cast<std::ptrdiff_t>((row - window.rect.row) * window.rect.cols + part.col -
                                            window.rect.col);
            std::fill(first, first + static_cast<std::ptrdiff_t>(part.cols), not_known);
        }
    }

    const ElevationRaster& raster;
    DatasetPtr file;
    GDALRasterBandH band = nullptr;
    std::optional<BandReader> cells;
    std::optional<BandReader> mask; ///< only where the file carries one
    Reprojection to_elevation;
    double nodata = not_known;
    double scale_m = 1;
    double offset_m = 0;
    bool may_be_sparse = false;
    bool same_crs = false;
    bool impossible = false;
    HeightWindow window;
    std::vector<std::uint8_t> visible;
};

ElevationRaster::Reader::Reader(const ElevationRaster& raster)
{
    const std::lock_guard lock{raster.making_readers_};
    impl_ = std::make_unique<Impl>(raster);
}

ElevationRaster::Reader::~Reader() = default;
ElevationRaster::Reader::Reader(Reader&&) noexcept = default;

std::optional<HeightLattice> ElevationRaster::Reader::lattice_at(const Grid& ground,
                                                                 const CellFrame& frame,
                                                                 Point place, double half_m) const
{
    Point middle = ground.to_map(frame, place);
    if (!impl_->to_cells(middle))
        return std::nullopt;
    const Point nearest{std::round(middle.x), std::round(middle.y)};
    HeightLattice lattice;
    lattice.at = {static_cast<std::int64_t>(nearest.x), static_cast<std::int64_t>(nearest.y)};
    if (impl_->same_crs) { // straight, and no bit depends on how far from its origin the grid is
        const auto& g = impl_->raster.grid_.geotransform;
        const Point c{nearest.x + 0.5, nearest.y + 0.5};
        lattice.col_step = ground.vector_to_local({g[1], g[4]});
        lattice.row_step = ground.vector_to_local({g[2], g[5]});
        lattice.origin = ground.to_local(
            frame, {g[0] + g[1] * c.x + g[2] * c.y, g[3] + g[4] * c.x + g[5] * c.y});
        return is_sane(lattice) ? std::optional{lattice} : std::nullopt;
    }
    const auto x = impl_->cells_per_metre(ground, frame, place, {half_m, 0});
    const auto y = impl_->cells_per_metre(ground, frame, place, {0, half_m});
    const double determinant = x && y ? cross(*x, *y) : 0;
    if (determinant == 0)
        return std::nullopt;
    lattice.col_step = {y->y / determinant, -x->y / determinant};
    lattice.row_step = {-y->x / determinant, x->x / determinant};
    const Point d = nearest - middle;
    lattice.origin = place + d.x * lattice.col_step + d.y * lattice.row_step;
    return is_sane(lattice) ? std::optional{lattice} : std::nullopt;
}

const HeightWindow& ElevationRaster::Reader::read(const CellRect& rect)
{
    Impl& it = *impl_;
    it.window.rect = intersection(rect, {0, 0, it.raster.grid_.cols, it.raster.grid_.rows});
    const CellRect& on_raster = it.window.rect;
    it.window.height_m.resize(static_cast<std::size_t>(on_raster.cols * on_raster.rows));
    if (on_raster.empty())
        return it.window;
    it.cells->read(on_raster, it.window.height_m.data(), GDT_Float64);
    for (double& height : it.window.height_m)
        height = it.height_of(height);
    if (it.mask)
        it.hide_masked();
    if (it.may_be_sparse)
        it.hide_missing_blocks();
    return it.window;
}

bool ElevationRaster::Reader::met_impossible()
{
    return std::exchange(impl_->impossible, false);
}

} // namespace fuelring
