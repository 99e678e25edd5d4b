// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "report/context.hpp"
#include "report/run_picture.hpp"

namespace fuelring {

/// The town's own lines and areas as far as they lie in `box` (the picture's coordinates), of the
/// layers that run.json names in configuration.report.context; empty where it names none. Curves
/// are made straight, heights and points dropped. Throws: Error{input} naming layer and feature:
/// as PlacedLayer; a vertex without a place; nothing of a layer lies in the box.
Context read_context(const RunFolder& run, const RunPicture& picture, const Box& box);

} // namespace fuelring
