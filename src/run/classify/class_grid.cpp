// SPDX-License-Identifier: Apache-2.0
#include "run/classify/class_grid.hpp"

#include "io/cog/cog_writer.hpp"
#include "io/community/community_in.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>
#include <utility>

namespace fuelring {

namespace {

constexpr double least_default_cell_m = 0.5;
constexpr double most_cells = 2.5e11; ///< as many as an input raster may have
constexpr int edge_steps = 16;        ///< along a side of a box that is reprojected

double metres_per_unit(const ImageRaster& image)
{
    const OGRSpatialReference& srs = image.grid().crs.srs();
    if (!srs.IsProjected())
        throw Error{Failure::input,
                    "the first image is in " + image.grid().crs.name() +
                        ", where cells are not measured in metres",
                    image.source().files.path,
                    "warp it with gdalwarp -t_srs EPSG:..., to the grid that your town uses"};
    return srs.GetLinearUnits(nullptr);
}

Box into(const Reprojection& way, const Box& box)
{
    Box result = Box::nothing();
    for (Point p : lattice_in(box, edge_steps))
        if (way.apply(p))
            result.take_in(p);
    return result;
}

/// Boxes of an image's files in the CRS of the grid.
std::vector<Box> boxes_of(const ImageRaster& image, const Crs& crs)
{
    std::vector<Box> boxes = image.boxes();
    if (image.grid().crs.same_as(crs))
        return boxes;
    const Reprojection way{image.grid().crs, crs};
    for (Box& box : boxes)
        box = into(way, box);
    return boxes;
}

Box hull_of(const std::vector<Box>& boxes)
{
    Box all = Box::nothing();
    for (const Box& box : boxes)
        if (box.min.x <= box.max.x) {
            all.take_in(box.min);
            all.take_in(box.max);
        }
    return all;
}

Box shared(const Box& a, const Box& b)
{
    return {{std::max(a.min.x, b.min.x), std::max(a.min.y, b.min.y)},
            {std::min(a.max.x, b.max.x), std::min(a.max.y, b.max.y)}};
}

bool has_area(const Box& box)
{
    return box.max.x > box.min.x && box.max.y > box.min.y;
}

/// What all images show, piece by piece: nothing outside can be classified.
std::vector<Box> shown_by_all(const std::vector<std::vector<Box>>& by_image)
{
    std::vector<Box> pieces = by_image.front();
    for (std::size_t k = 1; k < by_image.size(); ++k) {
        std::vector<Box> narrower;
        for (const Box& piece : pieces)
            for (const Box& box : by_image[k])
                if (const Box both = shared(piece, box); has_area(both))
                    narrower.push_back(both);
        pieces = std::move(narrower);
    }
    return pieces;
}

std::vector<Box> around_structures(const Config& config, const Crs& crs, double unit_m,
                                   const std::vector<Box>& shown)
{
    if (config.inputs.structures.path.empty())
        throw Error{
            Failure::usage,
            "imagery.extent is \"structures\", but there is no table [inputs.structures]",
            config.file.string(),
            "add it with the path of the building footprints, or write extent = \"images\""};
    const StructureBoxes structures{config.inputs.structures};
    std::vector<Box> reached;
    for (const Box& box : structures.boxes_in(crs, {})) {
        const Box reach = box.grown(config.rings.widest_m() / unit_m);
        for (const Box& piece : shown)
            if (const Box both = shared(reach, piece); has_area(both))
                reached.push_back(both);
    }
    if (reached.empty())
        throw Error{Failure::input, "no structure is near what all images show",
                    config.inputs.structures.path,
                    "check that footprints and images show the same place"};
    return reached;
}

Grid grid_over(const Box& box, const SourceGrid& first, double side, const std::string& path)
{
    const auto& g = first.geotransform;
    // Lines of the first image's corner, so that cells of its size lie on its cells.
    const auto below = [&](double v, double from) {
        return from + std::floor((v - from) / side + 1e-6) * side;
    };
    const double left = below(box.min.x, g[0]);
    const double top = -below(-box.max.y, -g[3]);
    const double cols = std::max(1.0, std::ceil((box.max.x - left) / side - 1e-6));
    const double rows = std::max(1.0, std::ceil((top - box.min.y) / side - 1e-6));
    if (cols * rows > most_cells)
        throw Error{Failure::input,
                    fmt::format("{:.0f} x {:.0f} cells would be classified; {:.0f} is the most",
                                cols, rows, most_cells),
                    path, "give imagery.cell_m a larger value, or classify fewer images"};
    return {{left, side, 0, top, 0, -side},
            static_cast<std::int64_t>(cols),
            static_cast<std::int64_t>(rows)};
}

std::vector<ClassBlock> blocks_of(const Grid& grid, const std::vector<Box>& pieces)
{
    const std::int64_t most_col = (grid.cols() - 1) / out_block_cells;
    const std::int64_t most_row = (grid.rows() - 1) / out_block_cells;
    std::set<std::pair<std::int64_t, std::int64_t>> found;
    for (const Box& piece : pieces) {
        const Point upper = grid.cell_of({piece.min.x, piece.max.y});
        const Point lower = grid.cell_of({piece.max.x, piece.min.y});
        const auto block = [](double cell, std::int64_t most) {
            return std::clamp(
                floor_div(static_cast<std::int64_t>(std::floor(cell)), out_block_cells),
                std::int64_t{0}, most);
        };
        for (auto row = block(upper.y, most_row); row <= block(lower.y, most_row); ++row)
            for (auto col = block(upper.x, most_col); col <= block(lower.x, most_col); ++col)
                found.emplace(row, col);
    }
    std::vector<ClassBlock> blocks;
    for (const auto& [row, col] : found)
        blocks.push_back({col, row});
    return blocks;
}

} // namespace

std::vector<CellRect> rects_of(const ClassGrid& grid)
{
    std::vector<CellRect> rects;
    for (const ClassBlock& block : grid.blocks)
        rects.push_back({block.col * out_block_cells, block.row * out_block_cells, out_block_cells,
                         out_block_cells});
    return rects;
}

ClassGrid plan_grid(const Config& config, const std::vector<ImageRaster>& images)
{
    const ImageRaster& first = images.front();
    const double unit_m = metres_per_unit(first);
    const Crs& crs = first.grid().crs;
    const double own_m = first.cell_size() * unit_m;
    const double cell_m = config.imagery->cell_m.value_or(std::max(own_m, least_default_cell_m));
    std::vector<std::vector<Box>> by_image;
    for (const ImageRaster& image : images)
        by_image.push_back(boxes_of(image, crs));
    std::vector<Box> pieces = shown_by_all(by_image);
    if (pieces.empty())
        throw Error{Failure::input, "the images show no place in common",
                    images.back().source().files.path,
                    "every image has to cover the land that is classified: check their coordinate "
                    "systems with gdalinfo"};
    if (config.imagery->around_structures)
        pieces = around_structures(config, crs, unit_m, pieces);
    const double side =
        std::abs(cell_m - own_m) < 1e-9 * own_m ? first.cell_size() : cell_m / unit_m;
    ClassGrid result{
        {grid_over(hull_of(pieces), first.grid(), side, first.source().files.path), crs},
        cell_m,
        {}};
    result.blocks = blocks_of(result.analysis.grid, pieces);
    return result;
}

} // namespace fuelring
