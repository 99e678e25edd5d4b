// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/cividis.hpp"
#include "report/run_picture.hpp"

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// A picture of few colours, as in a PNG with a palette.
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

/// Seven classes in steps of 1, 2, 5, 10, ...: the last begins at the largest step that is not
/// above the surface's largest value, the first at 0. No class and an image without colour where
/// nothing is above 0.
SurfaceImage surface_image(const PictureSurface& surface);

/// Ground that a ring reaches and that has no known class: a grey hatch, nothing elsewhere.
IndexedImage unmapped_image(const PictureSurface& surface);

/// Colour of a class of exposure (an index of `exposure_classes`), lighter for more.
report::Colour exposure_colour(std::size_t exposure_class);

/// "#rrggbb"; the opacity is left out.
std::string hex_of(const IndexedImage::Colour& colour);
std::string hex_of(const report::Colour& colour);

} // namespace fuelring
