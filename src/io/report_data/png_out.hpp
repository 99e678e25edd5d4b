// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/surface_image.hpp"

#include <string>

namespace fuelring {

/// The bytes of a PNG file with that image; the same image gives the same bytes. Empty for an image
/// without pixels. Throws: Error{output} with GDAL's reason.
/// Pixels are indices into the image's own colours, with their opacity. `description`: a text that
/// the file says of itself; none where empty.
std::string png_of(const IndexedImage& image, const std::string& description = {});

} // namespace fuelring
