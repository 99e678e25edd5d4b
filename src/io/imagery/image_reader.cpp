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
constexpr std::int64_t node_cells = 16;         ///< between places that PROJ is asked for
constexpr double far_off = 1e9;

double length(Point p)
{
    return std::hypot(p.x, p.y);
}

std::int64_t whole(double value)
{
    return static_cast<std::int64_t>(std::floor(value));
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

/// Where PROJ is asked, it is at nodes counted from the grid's own corner, so that a cell's place
/// does not depend on the window; between nodes, places are interpolated.
void ImageRaster::Reader::place(const CellRect& rect)
{
    const Grid& grid = target_->grid;
    const Geotransform& g = raster_->grid().geotransform;
    places_.resize(static_cast<std::size_t>(rect.cols * rect.rows));
    const auto to_image = [&](double col, double row) {
        Point p = map_of(grid.geotransform(), {col, row});
        if (way_ && !way_->apply(p))
            return Point{std::nan(""), std::nan("")};
        return cell_of(g, p);
    };
    if (!way_) {
        for (std::int64_t r = 0; r < rect.rows; ++r)
            for (std::int64_t c = 0; c < rect.cols; ++c)
                places_[static_cast<std::size_t>(r * rect.cols + c)] =
                    to_image(static_cast<double>(rect.col + c) + 0.5,
                             static_cast<double>(rect.row + r) + 0.5);
        return;
    }
    const auto floor_to_node = [](std::int64_t v) {
        return whole(static_cast<double>(v) / static_cast<double>(node_cells));
    };
    const std::int64_t left = floor_to_node(rect.col);
    const std::int64_t top = floor_to_node(rect.row);
    const std::int64_t wide = floor_to_node(rect.col + rect.cols) - left + 2;
    const std::int64_t high = floor_to_node(rect.row + rect.rows) - top + 2;
    nodes_.resize(static_cast<std::size_t>(wide * high));
    for (std::int64_t r = 0; r < high; ++r)
        for (std::int64_t c = 0; c < wide; ++c)
            nodes_[static_cast<std::size_t>(r * wide + c)] =
                to_image(static_cast<double>((left + c) * node_cells),
                         static_cast<double>((top + r) * node_cells));
    for (std::int64_t r = 0; r < rect.rows; ++r)
        for (std::int64_t c = 0; c < rect.cols; ++c) {
            const std::int64_t nc = floor_to_node(rect.col + c);
            const std::int64_t nr = floor_to_node(rect.row + r);
            const double u = (static_cast<double>(rect.col + c - nc * node_cells) + 0.5) /
                             static_cast<double>(node_cells);
            const double v = (static_cast<double>(rect.row + r - nr * node_cells) + 0.5) /
                             static_cast<double>(node_cells);
            const Point* node = &nodes_[static_cast<std::size_t>((nr - top) * wide + nc - left)];
            const Point upper = (1 - u) * node[0] + u * node[1];
            const Point lower = (1 - u) * node[wide] + u * node[wide + 1];
            places_[static_cast<std::size_t>(r * rect.cols + c)] = (1 - v) * upper + v * lower;
        }
}

CellRect ImageRaster::Reader::window_of(std::size_t first, std::size_t last) const
{
    double left = far_off, right = -far_off, top = far_off, bottom = -far_off;
    for (std::size_t i = first; i < last; ++i) {
        const Point p = places_[i];
        if (!(std::abs(p.x) < far_off && std::abs(p.y) < far_off))
            continue;
        left = std::min(left, p.x);
        right = std::max(right, p.x);
        top = std::min(top, p.y);
        bottom = std::max(bottom, p.y);
    }
    if (left > right)
        return {};
    const double margin_x = step_.x / 2 + 2;
    const double margin_y = step_.y / 2 + 2;
    const CellRect window{whole(left - margin_x), whole(top - margin_y),
                          whole(right + margin_x) - whole(left - margin_x) + 1,
                          whole(bottom + margin_y) - whole(top - margin_y) + 1};
    const SourceGrid& grid = raster_->grid();
    return intersection(window, {0, 0, grid.cols, grid.rows});
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

void ImageRaster::Reader::read(const CellRect& rect, std::vector<Plane>& into)
{
    place(rect);
    const std::size_t first_plane = into.size();
    const auto cols = static_cast<std::size_t>(rect.cols);
    const auto cells = static_cast<std::size_t>(rect.cols * rect.rows);
    for (std::size_t k = 0; k < bands_.size(); ++k)
        into.emplace_back(cells, unknown);
    const double row_cells = static_cast<double>(rect.cols) * step_.x * step_.y;
    const auto strip_rows = static_cast<std::size_t>(std::clamp<double>(
        static_cast<double>(strip_cells) / row_cells, 1, static_cast<double>(rect.rows)));
    for (std::size_t first = 0; first < cells; first += strip_rows * cols) {
        const std::size_t last = std::min(cells, first + strip_rows * cols);
        const CellRect window = window_of(first, last);
        if (window.empty())
            continue;
        for (std::size_t k = 0; k < bands_.size(); ++k)
            if (load(bands_[k], window))
                for (std::size_t i = first; i < last; ++i)
                    into[first_plane + k][i] = value_at(window, places_[i]);
    }
}

} // namespace fuelring
