// SPDX-License-Identifier: Apache-2.0

// The part of the raster under the box is read in about as many pixels as the picture has (means of
// cells), and every pixel of the picture takes the one below its middle.
#include "io/report_data/backdrop_in.hpp"

#include "io/gdal/errors.hpp"
#include "io/gdal/memory_file.hpp"
#include "io/gdal/open.hpp"
#include "io/gdal/reprojection.hpp"
#include "io/raster/raster_input.hpp"

#include <fuelring/error.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr const char* backdrop_key = "report.backdrop";
constexpr int intervals = 32; ///< of the pattern of nodes, each way

Error refused(const std::string& what, const std::string& path, const std::string& remedy)
{
    return {Failure::input, what, path, remedy};
}

Error not_met(const std::string& path)
{
    return refused("the backdrop does not meet the community", path,
                   "give report.backdrop a picture of this community");
}

std::string setting_of(const RunPicture& picture, const char* name)
{
    return picture.manifest.value(nlohmann::json::json_pointer{"/configuration/report"} / name,
                                  std::string{});
}

/// Cells of the raster under places of the picture.
class CellsBelow {
public:
    CellsBelow(const RunFolder& run, const RunPicture& picture, const Box& box,
               const SourceGrid& grid, const std::string& path)
        : box_(box)
    {
        const Reprojection there{run.analysis.crs, grid.crs, run.analysis.area};
        std::array<double, 6> forward = grid.geotransform;
        std::array<double, 6> inverse{};
        if (!GDALInvGeoTransform(forward.data(), inverse.data()))
            throw refused("cells without area", path, "look at the geotransform with gdalinfo");
        for (int j = 0; j <= intervals; ++j)
            for (int i = 0; i <= intervals; ++i) {
                Point p =
                    picture.origin +
                    Point{std::lerp(box.min.x, box.max.x, static_cast<double>(i) / intervals),
                          std::lerp(box.min.y, box.max.y, static_cast<double>(j) / intervals)};
                if (!there.apply(p))
                    throw not_met(path);
                nodes_.push_back({inverse[0] + inverse[1] * p.x + inverse[2] * p.y,
                                  inverse[3] + inverse[4] * p.x + inverse[5] * p.y});
            }
    }

    /// `u`, `v`: from 0 to 1 over the box, east and north.
    Point at(double u, double v) const
    {
        const double x = u * intervals;
        const double y = v * intervals;
        const int i = std::min(static_cast<int>(x), intervals - 1);
        const int j = std::min(static_cast<int>(y), intervals - 1);
        const Point south = node(i, j) + (x - i) * (node(i + 1, j) - node(i, j));
        const Point north = node(i, j + 1) + (x - i) * (node(i + 1, j + 1) - node(i, j + 1));
        return south + (y - j) * (north - south);
    }

    Box around() const
    {
        Box all = Box::nothing();
        for (const Point p : nodes_)
            all.take_in(p);
        return all;
    }

private:
    Point node(int i, int j) const
    {
        return nodes_[static_cast<std::size_t>(j * (intervals + 1) + i)];
    }

    Box box_;
    std::vector<Point> nodes_;
};

/// Cells of the raster, read in fewer pixels.
struct Window {
    int col, row, cols, rows;
    int wide, high; ///< pixels

    /// Index of the pixel that holds a cell; none off the window.
    std::optional<std::size_t> index(Point cell) const
    {
        const double x = std::floor((cell.x - col) * wide / cols);
        const double y = std::floor((cell.y - row) * high / rows);
        if (!(x >= 0 && y >= 0 && x < wide && y < high))
            return std::nullopt;
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(wide) +
               static_cast<std::size_t>(x);
    }
};

using Pixels = std::vector<std::uint8_t>;

class Raster {
public:
    Raster(GDALDatasetH file, const std::string& path) : path_(path)
    {
        const int used = GDALGetRasterCount(file) >= 3 ? 3 : 1;
        for (int k = 1; k <= used; ++k) {
            GDALRasterBandH band = require_sane_band(file, {path, backdrop_key, "colours", k});
            if (GDALGetRasterDataType(band) != GDT_Byte)
                throw refused("the backdrop's bands are not of 8 bits", path,
                              "make a picture of it with gdal_translate -ot Byte -scale");
            bands_.push_back(band);
        }
    }

    /// Three bytes a pixel; white where the raster knows nothing.
    Pixels read(const Window& part) const
    {
        const auto n = static_cast<std::size_t>(part.wide) * static_cast<std::size_t>(part.high);
        GDALColorTableH palette = bands_.size() == 1 ? GDALGetRasterColorTable(bands_[0]) : nullptr;
        std::vector<Pixels> read;
        for (GDALRasterBandH band : bands_)
            read.push_back(one(band, part, palette ? GRIORA_NearestNeighbour : GRIORA_Average));
        const bool all_valid = (GDALGetMaskFlags(bands_[0]) & GMF_ALL_VALID) != 0;
        const Pixels mask = all_valid
                                ? Pixels(n, 255)
                                : one(GDALGetMaskBand(bands_[0]), part, GRIORA_NearestNeighbour);
        Pixels rgb(3 * n, 255);
        for (std::size_t k = 0; k < n; ++k) {
            if (mask[k] == 0)
                continue;
            GDALColorEntry colour{};
            if (palette)
                GDALGetColorEntryAsRGB(palette, read[0][k], &colour);
            for (std::size_t c = 0; c < 3; ++c)
                rgb[3 * k + c] = palette ? static_cast<std::uint8_t>(c == 0   ? colour.c1
                                                                     : c == 1 ? colour.c2
                                                                              : colour.c3)
                                         : read[std::min(c, read.size() - 1)][k];
        }
        return rgb;
    }

private:
    Pixels one(GDALRasterBandH band, const Window& part, GDALRIOResampleAlg how) const
    {
        Pixels pixels(static_cast<std::size_t>(part.wide) * static_cast<std::size_t>(part.high));
        GDALRasterIOExtraArg how_to;
        INIT_RASTERIO_EXTRA_ARG(how_to);
        how_to.eResampleAlg = how;
        const GdalErrors errors;
        if (GDALRasterIOEx(band, GF_Read, part.col, part.row, part.cols, part.rows, pixels.data(),
                           part.wide, part.high, GDT_Byte, 0, 0, &how_to) != CE_None ||
            errors.failures() > 0)
            throw refused("the backdrop cannot be read: " + errors.reason(), path_,
                          "see report.backdrop; look at it with gdalinfo -checksum");
        return pixels;
    }

    std::string path_;
    std::vector<GDALRasterBandH> bands_;
};

std::string jpeg_of(const Backdrop& picture)
{
    const GdalErrors errors;
    const auto not_made = [&] {
        return Error{Failure::output, "a picture could not be made: " + errors.reason()};
    };
    DatasetPtr memory{GDALCreate(GDALGetDriverByName("MEM"), "", picture.cols, picture.rows, 3,
                                 GDT_Byte, nullptr)};
    auto* pixels = const_cast<std::uint8_t*>(picture.rgb.data()); // only read
    if (!memory || GDALDatasetRasterIO(memory.get(), GF_Write, 0, 0, picture.cols, picture.rows,
                                       pixels, picture.cols, picture.rows, GDT_Byte, 3, nullptr, 3,
                                       3 * picture.cols, 1) != CE_None)
        throw not_made();
    const MemoryFile file{"jpg"};
    const char* const options[] = {"QUALITY=80", nullptr};
    DatasetPtr jpeg{GDALCreateCopy(GDALGetDriverByName("JPEG"), file.name().c_str(), memory.get(),
                                   FALSE, options, nullptr, nullptr)};
    if (!jpeg)
        throw not_made();
    jpeg.reset();
    const std::string_view bytes = file.bytes();
    if (bytes.empty() || errors.failures() > 0)
        throw not_made();
    return std::string{bytes};
}

/// The window under the box, in pixels as fine as those of a picture of cols x rows; nothing where
/// the raster does not meet it.
std::optional<Window> window_of(const Box& around, const SourceGrid& grid, int cols, int rows)
{
    const auto clamped = [](double cell, std::int64_t most) {
        return static_cast<int>(std::clamp(cell, 0.0, static_cast<double>(most)));
    };
    const int left = clamped(std::floor(around.min.x), grid.cols);
    const int top = clamped(std::floor(around.min.y), grid.rows);
    const int right = clamped(std::ceil(around.max.x), grid.cols);
    const int bottom = clamped(std::ceil(around.max.y), grid.rows);
    if (right <= left || bottom <= top)
        return std::nullopt;
    const auto pixels = [](int cells, double of, int picture) {
        return std::clamp(static_cast<int>(std::ceil(cells * picture / of)), 1, cells);
    };
    const double longer = std::max(cols, rows);
    const Point size = around.max - around.min;
    return Window{left,
                  top,
                  right - left,
                  bottom - top,
                  pixels(right - left, std::max(size.x, size.y), static_cast<int>(longer)),
                  pixels(bottom - top, std::max(size.x, size.y), static_cast<int>(longer))};
}

} // namespace

struct BackdropFile::Parts {
    const RunFolder& run;
    const RunPicture& picture;
    std::string path;
    std::string credit;
    DatasetPtr file;
    Raster raster;
    SourceGrid grid;
};

BackdropFile::BackdropFile(const RunFolder& run, const RunPicture& picture, const std::string& path)
{
    DatasetPtr file = open_input(path, InputKind::raster, false, backdrop_key);
    GDALDatasetH handle = file.get();
    parts_.reset(new Parts{run, picture, path, setting_of(picture, "credit"), std::move(file),
                           Raster{handle, path}, source_grid(handle, {}, path, backdrop_key)});
}

BackdropFile::~BackdropFile() = default;
BackdropFile::BackdropFile(BackdropFile&&) noexcept = default;

std::optional<Backdrop> BackdropFile::read(const Box& box, std::int64_t most_pixels)
{
    const CellsBelow below{parts_->run, parts_->picture, box, parts_->grid, parts_->path};
    Backdrop made;
    made.credit = parts_->credit;
    made.box = box;
    const Point size = box.max - box.min;
    const Box around = below.around();
    const Point cells = around.max - around.min;
    const double scale = std::min(std::sqrt(static_cast<double>(most_pixels) / (size.x * size.y)),
                                  std::max(cells.x, cells.y) / std::max(size.x, size.y));
    made.cols = std::max(1, static_cast<int>(scale * size.x));
    made.rows = std::max(1, static_cast<int>(scale * size.y));
    const auto part = window_of(around, parts_->grid, made.cols, made.rows);
    if (!part)
        return std::nullopt;
    const Pixels read = parts_->raster.read(*part);
    made.rgb.assign(3 * static_cast<std::size_t>(made.cols) * static_cast<std::size_t>(made.rows),
                    255);
    std::size_t pixel = 0;
    for (int row = 0; row < made.rows; ++row)
        for (int col = 0; col < made.cols; ++col, ++pixel)
            if (const auto from =
                    part->index(below.at((col + 0.5) / made.cols, 1 - (row + 0.5) / made.rows)))
                std::copy_n(&read[3 * *from], 3, &made.rgb[3 * pixel]);
    made.jpeg = jpeg_of(made);
    return made;
}

std::optional<BackdropFile> open_backdrop(const RunFolder& run, const RunPicture& picture)
{
    const std::string path = setting_of(picture, "backdrop");
    if (path.empty())
        return std::nullopt;
    return BackdropFile{run, picture, path};
}

std::optional<Backdrop> read_backdrop(const RunFolder& run, const RunPicture& picture,
                                      const Box& box, std::int64_t most_pixels)
{
    std::optional<BackdropFile> file = open_backdrop(run, picture);
    if (!file)
        return std::nullopt;
    std::optional<Backdrop> read = file->read(box, most_pixels);
    if (!read)
        throw not_met(setting_of(picture, "backdrop"));
    return read;
}

} // namespace fuelring
