// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/run_picture.hpp"

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// A picture of few colours, as a PNG holds it.
struct IndexedImage {
    using Colour = std::array<std::uint8_t, 4>; ///< red, green, blue, opacity; 0 to 255
    std::int64_t cols = 0;
    std::int64_t rows = 0;
    std::vector<Colour> colours;      ///< by index
    std::vector<std::uint8_t> pixels; ///< index of a colour, row by row from the top
};

/// The priority surface in classes of colour, with what the legend has to say.
struct SurfaceImage {
    /// A class: from this value on, up to the next class's; in points a square metre of ground.
    struct Class {
        double from = 0;
        IndexedImage::Colour colour{};
    };
    IndexedImage image; ///< without colour where clearing saves nothing or nothing is known
    std::vector<Class> classes;
};

/// Classes that end with the surface's largest value, in steps of 1, 2, 5, 10, ...
SurfaceImage surface_image(const PictureSurface& surface);

/// Ground that a ring reaches and that has no known class: a grey hatch, nothing elsewhere.
IndexedImage unmapped_image(const PictureSurface& surface);

/// "#rrggbb" of the classes of exposure (`exposure_classes`).
std::vector<std::string> exposure_colours();

/// "#rrggbb"; the opacity is left out.
std::string hex_of(const IndexedImage::Colour& colour);

} // namespace fuelring
