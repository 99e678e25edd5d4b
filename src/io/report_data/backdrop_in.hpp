// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "report/backdrop.hpp"
#include "report/run_picture.hpp"

#include <optional>

namespace fuelring {

/// The town's own picture of `box` (the picture's coordinates), which run.json names as
/// configuration.report.backdrop; nothing where it names none. At most `most_pixels`, and no finer
/// than the raster: grey, colours of a palette, or the first three bands as red, green and blue, of
/// eight bits. Pixels lie where one operation for the whole community puts them; between the nodes
/// of a pattern of 33 x 33 over the box they are interpolated.
/// Throws: Error{input} naming the file: it cannot be read, has no georeference or coordinate
/// system, has other than 8-bit bands, or does not meet the box.
std::optional<Backdrop> read_backdrop(const RunFolder& run, const RunPicture& picture,
                                      const Box& box, std::int64_t most_pixels);

} // namespace fuelring
