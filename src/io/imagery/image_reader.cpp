// SPDX-License-Identifier: Apache-2.0

// Reading an image onto another grid. Cell centres of the grid are placed in the image first; then
// the image's cells around them are loaded, in strips that keep memory small where the image is
// much finer than the grid, and each cell takes its value from what lies around its place. So a
// value never depends on where a window or a strip begins.
#include "io/gdal/open.hpp"
#include "io/georeference/geotransform.hpp"
#include "io/imagery/image_raster.hpp"
#include "io/raster/height_unit.hpp"
#include "io/raster/raster_input.hpp"

#include <fuelring/error.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr float unknown = std::numeric_limits<float>::quiet_NaN();
constexpr double much_finer = 1.5;              ///< image cells to a cell of the grid: their mean
constexpr double much_coarser = 0.75;           ///< fewer: a value between four
constexpr std::int64_t strip_cells = 4'000'000; ///< of the image, loaded at a time

double length(Point p)
{
    return std::hypot(p.x, p.y);
}

} // namespace

ImageRaster::Reader::Reader(const ImageRaster& raster, const AnalysisGrid& target)
    : raster_{&raster}, target_{&target}
{
    if (!raster.grid().crs.same_as(target.crs))
        way_.emplace(target.crs, raster.grid().crs, target.area);
    open_bands();
    // At the middle of the grid: scales change little over a community.
    const CellRect middle{target.grid.cols() / 2, target.grid.rows() / 2, 2, 2};
    place(middle);
    step_ = {length(places_[1] - places_[0]), length(places_[2] - places_[0])};
    if (!(step_.x > 0 && step_.y > 0))
        step_ = {1, 1};
}

void ImageRaster::Reader::open_bands()
{
    const std::vector<RasterPlace>& places = raster_->places_;
    const RasterPlace& first = places.front();
    bands_.resize(places.size());
    if (!first.is_mosaic())
        file_ =
            open_input(first.files.path, InputKind::raster, first.files.remote_allowed, first.key);
    for (std::size_t k = 0; k < places.size(); ++k) {
        Band& band = bands_[k];
        if (file_) {
            GDALRasterBandH handle = GDALGetRasterBand(file_.get(), places[k].band);
            if (!handle || GDALGetRasterXSize(file_.get()) != first.grid.cols ||
                GDALGetRasterYSize(file_.get()) != first.grid.rows)
                throw Error{Failure::input, "the image changed while it was read", first.files.path,
                            "run again"};
            band.cells = std::make_unique<BandReader>(handle, first.files.path);
            if (GDALGetMaskFlags(handle) & GMF_PER_DATASET)
                band.mask.emplace(GDALGetMaskBand(handle), first.files.path);
        } else {
            open_.push_back(std::make_unique<OpenBand>(places[k]));
            band.cells = std::make_unique<BandReader>(std::move(open_.back()->cells));
            band.mask = std::move(open_.back()->mask);
        }
        open_band(band.cells->band(), raster_->source_.bands.roles[k], band);
    }
}

void ImageRaster::Reader::open_band(GDALRasterBandH handle, const BandRole& role, Band& into) const
{
    into.nodata = nodata_of<float>(handle).value_or(unknown);
    into.scale = static_cast<float>(GDALGetRasterScale(handle, nullptr));
    into.offset = static_cast<float>(GDALGetRasterOffset(handle, nullptr));
    if (is_spectral(role))
        return;
    GDALDatasetH file = GDALGetBandDataset(handle);
    const auto metres =
        static_cast<float>(metres_in(find_height_unit(file, handle, std::nullopt).unit));
    into.scale *= metres;
    into.offset *= metres;
}

/// False where the file holds nothing there.
bool ImageRaster::Reader::load(Band& band, const CellRect& window)
{
    if (file_ && GDALGetDataCoverageStatus(
                     band.cells->band(), static_cast<int>(window.col), static_cast<int>(window.row),
                     static_cast<int>(window.cols), static_cast<int>(window.rows), 0,
                     nullptr) == GDAL_DATA_COVERAGE_STATUS_EMPTY)
        return false;
    const auto count = static_cast<std::size_t>(window.cols * window.rows);
    cells_.resize(count);
    band.cells->read(window, cells_.data(), GDT_Float32);
    const float nodata = band.nodata;
    const float scale = band.scale;
    const float offset = band.offset;
    for (float& cell : cells_)
        cell = cell == nodata || !std::isfinite(cell) ? unknown : cell * scale + offset;
    if (band.mask) {
        visible_.resize(count);
        band.mask->read(window, visible_.data(), GDT_Byte);
        for (std::size_t i = 0; i < count; ++i)
            if (visible_[i] == 0)
                cells_[i] = unknown;
    }
    return true;
}

float ImageRaster::Reader::cell_at(const CellRect& window, std::int64_t col, std::int64_t row) const
{
    col -= window.col;
    row -= window.row;
    if (col < 0 || row < 0 || col >= window.cols || row >= window.rows)
        return unknown;
    return cells_[static_cast<std::size_t>(row * window.cols + col)];
}

/// Of the known image cells whose centres lie within the cell.
float ImageRaster::Reader::mean_in(const CellRect& window, Point at) const
{
    const auto first_in = [](double low) {
        return static_cast<std::int64_t>(std::ceil(low - 0.5));
    };
    const std::int64_t left = std::max(first_in(at.x - step_.x / 2), window.col);
    const std::int64_t right = std::min(first_in(at.x + step_.x / 2), window.col + window.cols);
    const std::int64_t top = std::max(first_in(at.y - step_.y / 2), window.row);
    const std::int64_t bottom = std::min(first_in(at.y + step_.y / 2), window.row + window.rows);
    float sum = 0;
    int known = 0;
    for (std::int64_t row = top; row < bottom; ++row)
        for (std::int64_t col = left; col < right; ++col)
            if (const float cell = cell_at(window, col, row); !std::isnan(cell)) {
                sum += cell;
                ++known;
            }
    return known > 0 ? sum / static_cast<float>(known) : unknown;
}

/// Of the known ones of the four around, by their distances.
float ImageRaster::Reader::between(const CellRect& window, Point at) const
{
    const std::int64_t col = whole(at.x - 0.5);
    const std::int64_t row = whole(at.y - 0.5);
    const double u = at.x - 0.5 - static_cast<double>(col);
    const double v = at.y - 0.5 - static_cast<double>(row);
    double sum = 0, weights = 0;
    for (int k = 0; k < 4; ++k) {
        const float cell = cell_at(window, col + k % 2, row + k / 2);
        const double weight = (k % 2 ? u : 1 - u) * (k / 2 ? v : 1 - v);
        if (!std::isnan(cell)) {
            sum += weight * static_cast<double>(cell);
            weights += weight;
        }
    }
    return weights >= 0.5 ? static_cast<float>(sum / weights) : unknown;
}

float ImageRaster::Reader::value_at(const CellRect& window, Point at) const
{
    if (!(std::abs(at.x) < far_off && std::abs(at.y) < far_off))
        return unknown;
    const double step = std::max(step_.x, step_.y);
    if (step >= much_finer)
        return mean_in(window, at);
    if (step < much_coarser)
        return between(window, at);
    return cell_at(window, whole(at.x), whole(at.y));
}

void ImageRaster::Reader::fill_by_axes(const CellRect& window, std::size_t first_row,
                                       std::size_t last_row, Plane& into) const
{
    const double step = std::max(step_.x, step_.y);
    const bool looks_up = step < much_finer && step >= much_coarser;
    std::vector<std::int64_t> cols;
    for (const double x : xs_)
        cols.push_back(std::abs(x) < far_off ? whole(x) - window.col : -1);
    for (std::size_t r = first_row; r < last_row; ++r) {
        float* const to = into.data() + r * xs_.size();
        const std::int64_t row = std::abs(ys_[r]) < far_off ? whole(ys_[r]) - window.row : -1;
        if (!looks_up) {
            for (std::size_t c = 0; c < xs_.size(); ++c)
                to[c] = value_at(window, {xs_[c], ys_[r]});
            continue;
        }
        if (row < 0 || row >= window.rows)
            continue;
        const float* const from = cells_.data() + row * window.cols;
        for (std::size_t c = 0; c < xs_.size(); ++c)
            if (cols[c] >= 0 && cols[c] < window.cols)
                to[c] = from[cols[c]];
    }
}

void ImageRaster::Reader::read(const CellRect& rect, std::span<Plane> into)
{
    const bool upright = is_upright();
    if (upright)
        place_axes(rect);
    else
        place(rect);
    const auto cols = static_cast<std::size_t>(rect.cols);
    const auto rows = static_cast<std::size_t>(rect.rows);
    for (Plane& plane : into)
        plane.assign(cols * rows, unknown);
    const double row_cells = static_cast<double>(rect.cols) * step_.x * step_.y;
    const auto strip_rows = static_cast<std::size_t>(std::clamp<double>(
        static_cast<double>(strip_cells) / row_cells, 1, static_cast<double>(rect.rows)));
    for (std::size_t first = 0; first < rows; first += strip_rows) {
        const std::size_t last = std::min(rows, first + strip_rows);
        const CellRect window =
            upright ? window_of_axes(first, last) : window_of(first * cols, last * cols);
        if (window.empty())
            continue;
        for (std::size_t k = 0; k < bands_.size(); ++k) {
            if (!load(bands_[k], window))
                continue;
            Plane& plane = into[k];
            if (upright)
                fill_by_axes(window, first, last, plane);
            else
                for (std::size_t i = first * cols; i < last * cols; ++i)
                    plane[i] = value_at(window, places_[i]);
        }
    }
}

} // namespace fuelring
