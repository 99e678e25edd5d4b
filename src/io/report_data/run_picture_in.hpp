// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "report/run_picture.hpp"

namespace fuelring {

namespace report {
struct MapCells;
}

/// Reads what people look at of a run: fuelring.gpkg, priority.tif, fuel_used.tif, and where
/// run.json names them treatment.gpkg and benefit_curve.csv. Pictures of the surface have at most
/// `most_pixels`. Throws: Error{input} naming the file.
/// Shapes: from the corner of cell (0, 0), in units of the CRS. Memory holds every row and vertex
/// of the run.
RunPicture read_run_picture(const RunFolder& run, std::int64_t most_pixels = 4'000'000);

/// The surface from the structures out to the widest ring, in at most `most_pixels`. Requires: the
/// box, origin and rings of `picture`. Throws: Error{input} naming the file.
PictureSurface read_picture_surface(const RunFolder& run, const RunPicture& picture,
                                    std::int64_t most_pixels);

/// The classes of the priority surface over all its cells. Memory does not grow with the raster.
/// Throws: Error{input} naming the file.
std::vector<GainClass> read_gain_classes(const RunFolder& run, const RunPicture& picture);

/// What areas drawn on the page are measured by, in squares of whole cells, at most `most_squares`
/// of each kind. Requires and throws: as read_picture_surface.
PictureGround read_picture_ground(const RunFolder& run, const RunPicture& picture,
                                  std::int64_t most_squares = 16'000'000);

/// Longitudes and latitudes over the picture; none where PROJ gives nothing finite.
PictureDegrees read_picture_degrees(const RunFolder& run, const RunPicture& picture);

/// The conifers that a run saw of `box` (the picture's coordinates), in about `most_cells` cells at
/// most: means over whole cells of fuel_used.tif. A cell is `unmapped` where most of what was
/// reached in it is; ground that was not reached counts as bare. Frame: the axes of the grid from
/// the corner of cell (0, 0), units of the CRS. Throws: Error{input} naming the file.
report::MapCells read_conifer_cells(const RunFolder& run, const Box& box, std::int64_t most_cells);

} // namespace fuelring
