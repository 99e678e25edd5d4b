// SPDX-License-Identifier: Apache-2.0

// Reading heights. Cells become metres here, and whatever is no height becomes NaN: nodata, cells
// that a mask hides, numbers that are not finite or no ground of this earth, and blocks that a
// sparse file leaves out (GDAL reads them as 0 where no nodata is declared).
#include "io/georeference/geotransform.hpp"
#include "io/raster/band_reader.hpp"
#include "io/raster/elevation_raster.hpp"
#include "io/raster/raster_input.hpp"

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
    const auto as_double = [](auto value) {
        return value ? static_cast<double>(*value) : not_known;
    };
    switch (GDALGetRasterDataType(band)) {
    case GDT_Int64:
        return as_double(nodata_of<std::int64_t>(band));
    case GDT_UInt64:
        return as_double(nodata_of<std::uint64_t>(band));
    case GDT_Float32:
        return as_double(nodata_of<float>(band));
    default:
        return as_double(nodata_of<double>(band));
    }
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

ElevationRaster::Reader::Reader(const ElevationRaster& raster)
    : raster_{&raster}, open_{raster.place_},
      to_elevation_{raster.from_analysis_.value()}, nodata_{nodata_height(open_.cells.band())}
{
    int has_nodata = 0; // NaN, too
    GDALGetRasterNoDataValue(open_.cells.band(), &has_nodata);
    may_be_sparse_ = !has_nodata && !open_.mask;
}

bool ElevationRaster::Reader::to_cells(Point& p) const
{
    if (!to_elevation_.apply(p))
        return false;
    p = cell_of(raster_->place_.grid.geotransform, p) - Point{0.5, 0.5};
    return std::isfinite(p.x) && std::isfinite(p.y) && std::abs(p.x) < 1e15 && std::abs(p.y) < 1e15;
}

std::optional<Point> ElevationRaster::Reader::cells_per_metre(const Grid& ground,
                                                              const CellFrame& frame, Point place,
                                                              Point half) const
{
    Point there = ground.to_map(frame, place + half);
    Point back = ground.to_map(frame, place - half);
    if (!to_cells(there) || !to_cells(back))
        return std::nullopt;
    return (0.5 / std::sqrt(dot(half, half))) * (there - back);
}

double ElevationRaster::Reader::height_of(double cell)
{
    const double height_m = cell * raster_->scale_m_ + raster_->offset_m_;
    if (cell == nodata_ || !std::isfinite(height_m))
        return not_known;
    if (height_m >= lowest_ground_m && height_m <= highest_ground_m)
        return height_m;
    impossible_ = true;
    return not_known;
}

void ElevationRaster::Reader::hide_masked()
{
    visible_.resize(window_.height_m.size());
    open_.mask->read(window_.rect, visible_.data(), GDT_Byte);
    for (std::size_t k = 0; k < visible_.size(); ++k)
        if (visible_[k] == 0)
            window_.height_m[k] = not_known;
}

int ElevationRaster::Reader::coverage_of(const CellRect& rect) const
{
    return GDALGetDataCoverageStatus(open_.cells.band(), static_cast<int>(rect.col),
                                     static_cast<int>(rect.row), static_cast<int>(rect.cols),
                                     static_cast<int>(rect.rows), 0, nullptr);
}

/// Block by block, once some of the window is left out of the file.
void ElevationRaster::Reader::hide_missing_blocks()
{
    const CellRect& rect = window_.rect;
    if (!(coverage_of(rect) & GDAL_DATA_COVERAGE_STATUS_EMPTY))
        return;
    const auto [left, top, width, height] = block_of(open_.cells.band());
    for (std::int64_t row = rect.row / height; row * height < rect.row + rect.rows; ++row)
        for (std::int64_t col = rect.col / width; col * width < rect.col + rect.cols; ++col) {
            const CellRect part = intersection({col * width, row * height, width, height}, rect);
            if (!part.empty() && coverage_of(part) == GDAL_DATA_COVERAGE_STATUS_EMPTY)
                hide(part);
        }
}

void ElevationRaster::Reader::hide(const CellRect& part)
{
    for (std::int64_t row = part.row; row < part.row + part.rows; ++row) {
        const auto first =
            window_.height_m.begin() +
            static_cast<std::ptrdiff_t>((row - window_.rect.row) * window_.rect.cols + part.col -
                                        window_.rect.col);
        std::fill(first, first + static_cast<std::ptrdiff_t>(part.cols), not_known);
    }
}

std::optional<HeightLattice> ElevationRaster::Reader::lattice_at(const Grid& ground,
                                                                 const CellFrame& frame,
                                                                 Point place, double half_m) const
{
    Point middle = ground.to_map(frame, place);
    if (!to_cells(middle))
        return std::nullopt;
    const Point nearest{std::round(middle.x), std::round(middle.y)};
    HeightLattice lattice;
    lattice.at = {static_cast<std::int64_t>(nearest.x), static_cast<std::int64_t>(nearest.y)};
    if (raster_->same_crs_) { // straight, and no bit depends on how far from its origin the grid is
        const auto& g = raster_->place_.grid.geotransform;
        const Point c{nearest.x + 0.5, nearest.y + 0.5};
        lattice.col_step = ground.vector_to_local({g[1], g[4]});
        lattice.row_step = ground.vector_to_local({g[2], g[5]});
        lattice.origin = ground.to_local(frame, map_of(g, c));
        return is_sane(lattice) ? std::optional{lattice} : std::nullopt;
    }
    // Columns of a matrix: cells per metre along x and along y of the frame. Those of its inverse
    // are the steps, in metres per column and per row.
    const auto x = cells_per_metre(ground, frame, place, {half_m, 0});
    const auto y = cells_per_metre(ground, frame, place, {0, half_m});
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
    window_.rect = intersection(rect, raster_->extent());
    const CellRect& on_raster = window_.rect;
    window_.height_m.resize(static_cast<std::size_t>(on_raster.cols * on_raster.rows));
    if (on_raster.empty())
        return window_;
    open_.cells.read(on_raster, window_.height_m.data(), GDT_Float64);
    for (double& height : window_.height_m)
        height = height_of(height);
    if (open_.mask)
        hide_masked();
    if (may_be_sparse_)
        hide_missing_blocks();
    return window_;
}

} // namespace fuelring
