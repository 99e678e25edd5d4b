// SPDX-License-Identifier: Apache-2.0

// The surface as an image of few colours: classes rise by steps of 1, 2, 5, so that a legend has
// round numbers; the last begins at the last such step that the largest value reaches. One byte a
// pixel keeps the page small.
#include "report/surface_image.hpp"

#include "base/cividis.hpp"
#include "report/neighbourhood_figures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr std::size_t surface_classes = 7;
constexpr double surface_opacity = 0.65; ///< what lies below shines through
constexpr IndexedImage::Colour hatch_colour{128, 128, 128, 255};
constexpr std::int64_t hatches_across = 130; ///< so that a line is some pixels of a screen wide

std::uint8_t byte_of(double share)
{
    return static_cast<std::uint8_t>(std::lround(255 * std::clamp(share, 0.0, 1.0)));
}

/// The class's place on the ramp, 0 to 1.
double share_of(std::size_t k, std::size_t classes)
{
    return classes > 1 ? static_cast<double>(k) / static_cast<double>(classes - 1) : 1;
}

IndexedImage::Colour in_bytes(const report::Colour& c, double opacity)
{
    return {byte_of(c.red), byte_of(c.green), byte_of(c.blue), byte_of(opacity)};
}

/// The step of 1, 2, 5, 10, ... that is `steps` below the last one that is not above `largest`.
double step_below(double largest, std::size_t steps)
{
    constexpr double in_decade[] = {1, 2, 5};
    const double decade = std::floor(std::log10(largest));
    int place = 3 * static_cast<int>(decade);
    for (const double factor : {2.0, 5.0})
        place += largest >= factor * std::pow(10, decade) * (1 - 1e-12) ? 1 : 0;
    place -= static_cast<int>(steps);
    const int whole = static_cast<int>(std::floor(place / 3.0));
    return in_decade[place - 3 * whole] * std::pow(10, whole);
}

} // namespace

SurfaceImage surface_image(const PictureSurface& surface)
{
    SurfaceImage made;
    made.image = {surface.cols, surface.rows, {{0, 0, 0, 0}}, {}};
    made.image.pixels.assign(surface.points.size(), 0);
    const double per_m2 = surface.cell_m2 > 0 ? 1 / surface.cell_m2 : 1;
    double largest = 0;
    for (const float v : surface.points)
        largest = std::max(largest, std::isnan(v) ? 0.0 : static_cast<double>(v) * per_m2);
    if (largest <= 0)
        return made;
    for (std::size_t k = 0; k < surface_classes; ++k) {
        made.classes.push_back(
            {step_below(largest, surface_classes - 1 - k),
             in_bytes(report::cividis(share_of(k, surface_classes)), surface_opacity)});
        made.image.colours.push_back(made.classes.back().colour);
    }
    made.classes.front().from = 0; // what is left below the second class
    for (std::size_t i = 0; i < surface.points.size(); ++i) {
        const double v = static_cast<double>(surface.points[i]) * per_m2;
        if (!(v > 0))
            continue;
        const auto above = std::find_if(made.classes.begin() + 1, made.classes.end(),
                                        [v](const SurfaceImage::Class& c) { return c.from > v; });
        made.image.pixels[i] = static_cast<std::uint8_t>(above - made.classes.begin());
    }
    return made;
}

IndexedImage unmapped_image(const PictureSurface& surface)
{
    IndexedImage image{surface.cols, surface.rows, {{0, 0, 0, 0}, hatch_colour}, {}};
    image.pixels.assign(surface.unmapped.size(), 0);
    const std::int64_t step =
        std::max<std::int64_t>(4, std::max(surface.cols, surface.rows) / hatches_across);
    for (std::int64_t row = 0; row < surface.rows; ++row)
        for (std::int64_t col = 0; col < surface.cols; ++col) {
            const auto i = static_cast<std::size_t>(row * surface.cols + col);
            if (surface.unmapped[i] != 0 && (row + col) % step < (step + 2) / 3)
                image.pixels[i] = 1;
        }
    return image;
}

report::Colour exposure_colour(std::size_t exposure_class)
{
    return report::cividis(share_of(exposure_class, exposure_classes.size()));
}

std::string hex_of(const report::Colour& colour)
{
    return hex_of(in_bytes(colour, 1));
}

std::string hex_of(const IndexedImage::Colour& colour)
{
    return fmt::format("#{:02x}{:02x}{:02x}", colour[0], colour[1], colour[2]);
}

} // namespace fuelring
