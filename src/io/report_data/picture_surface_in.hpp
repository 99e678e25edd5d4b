// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/report_data/run_picture_in.hpp"

namespace fuelring {

/// The surface from the structures out to the widest ring, in at most `most_pixels`. Requires: the
/// box, origin and rings of `picture`. Throws: Error{input} naming the file.
PictureSurface read_picture_surface(const PictureSource& source, const RunPicture& picture,
                                    std::int64_t most_pixels);

} // namespace fuelring
