// SPDX-License-Identifier: Apache-2.0

// Which files a window looks at is told by boxes, widened by more than a reader looks beyond the
// cells: a file too many costs time, one too few would keep what is no longer so.
#include "run/classify/class_keys.hpp"

#include "base/serialization.hpp"
#include "io/cog/cog_writer.hpp"
#include "io/georeference/geotransform.hpp"
#include "run/schedule/tiles.hpp"

#include <algorithm>

namespace fuelring {

namespace {

constexpr int box_steps = 16;      ///< along a side of a box that is reprojected
constexpr double margin_cells = 4; ///< of grid and image, beyond what a cell's value is made of

void put_source(ByteWriter& bytes, const ImageRaster& image)
{
    const SourceGrid& grid = image.grid();
    bytes.each(grid.geotransform);
    bytes(grid.cols, grid.rows);
    bytes.put_text(grid.crs.wkt());
    for (const BandRole role : image.source().bands.roles)
        bytes(role);
    bytes(image.source().bands.season);
}

Box box_of_rect(const Grid& grid, const CellRect& rect)
{
    Geotransform at = grid.geotransform();
    const Point corner = map_of(at, {static_cast<double>(rect.col), static_cast<double>(rect.row)});
    at[0] = corner.x;
    at[3] = corner.y;
    return box_of(at, static_cast<double>(rect.cols), static_cast<double>(rect.rows));
}

std::string digest_of_role(const InputDigests& inputs, const std::string& role)
{
    const auto at = inputs.find(role);
    return at == inputs.end() ? std::string{} : at->second;
}

} // namespace

ClassKeys::ClassKeys(const InputDigests& inputs, const std::vector<ImageRaster>& images,
                     const ClassGrid& grid, const FeaturePlan& plan)
    : grid_{grid.analysis.grid}, halo_{plan.halo()},
      training_{digest_of_role(inputs, "imagery.training.path") + " " +
                digest_of_role(inputs, "inputs.corrections.path")}
{
    ByteWriter common;
    for (const char* role : {"program", "environment", grids_of_proj})
        common.put_text(digest_of_role(inputs, role));
    common.each(grid_.geotransform());
    common(grid_.cols(), grid_.rows(), grid.cell_m);
    common.put_text(grid.analysis.crs.wkt());
    for (const ImageRaster& image : images) {
        put_source(common, image);
        const std::vector<Box> boxes = image.boxes();
        const ImageSource& source = image.source();
        Image& into = images_.emplace_back();
        if (!image.grid().crs.same_as(grid.analysis.crs))
            into.way.emplace(grid.analysis.crs, image.grid().crs, grid.analysis.area);
        into.cell = image.cell_size();
        InputPaths paths;
        add_raster(source.key + ".path", source.files, paths);
        for (std::size_t k = 0; k < boxes.size(); ++k)
            into.tiles.push_back({boxes[k], digest_of_role(inputs, paths[k].first)});
    }
    common_ = common.bytes();
}

void ClassKeys::put_tiles(ByteWriter& bytes, const CellRect& rect) const
{
    const CellRect seen = widened(rect, halo_ + static_cast<int>(margin_cells));
    const Box box = box_of_rect(grid_, seen);
    for (const Image& image : images_) {
        Box there = box;
        if (image.way) {
            there = Box::nothing();
            for (Point p : lattice_in(box, box_steps))
                if (image.way->apply(p))
                    there.take_in(p);
        }
        if (there.min.x > there.max.x)
            continue;
        const double cell = (there.max.x - there.min.x) / static_cast<double>(seen.cols);
        there = there.grown(margin_cells * (image.cell + cell));
        for (std::size_t k = 0; k < image.tiles.size(); ++k)
            if (there.meets(image.tiles[k].box)) {
                bytes(static_cast<std::uint64_t>(k));
                bytes.put_text(image.tiles[k].digest);
            }
        bytes(~std::uint64_t{0}); // the next image
    }
}

RawDigest ClassKeys::of_model(const std::vector<CellRect>& windows, const TrainingSource& settings,
                              const std::optional<CorrectionSource>& visits) const
{
    ByteWriter bytes;
    bytes.put_text("model");
    bytes.put_text(common_);
    bytes.put_text(training_);
    for (const std::string* text : {&settings.layer, &settings.where, &settings.crs,
                                    &settings.encoding, &settings.group, &settings.block})
        bytes.put_text(*text);
    if (visits)
        for (const std::string* text :
             {&visits->layer, &visits->where, &visits->crs, &visits->encoding, &visits->kind,
              &visits->group, &visits->date, &visits->initials, &visits->wkt})
            bytes.put_text(*text);
    for (const CellRect& window : windows) {
        bytes(window.col, window.row, window.cols, window.rows);
        put_tiles(bytes, window);
    }
    return raw_digest(bytes.bytes());
}

RawDigest ClassKeys::of_block(const ClassBlock& block, const RawDigest& model,
                              const NearHomes* homes) const
{
    const CellRect rect{block.col * out_block_cells, block.row * out_block_cells, out_block_cells,
                        out_block_cells};
    ByteWriter bytes;
    bytes.put_text("block");
    bytes.put_text(common_);
    bytes.put_text(bytes_of(model));
    bytes(block.col, block.row);
    put_tiles(bytes, rect);
    if (homes)
        homes->put(bytes, rect);
    return raw_digest(bytes.bytes());
}

} // namespace fuelring
