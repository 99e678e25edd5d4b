// SPDX-License-Identifier: Apache-2.0

// Pictures of few colours: one byte a pixel keeps the page small. A pixel is the mean of its cells,
// and has the class that a cell of that value has.
#include "report/surface_image.hpp"

#include "exposure/exposure_classes.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace fuelring {

namespace {

constexpr std::int64_t hatches_across = 130; ///< so that a line is some pixels of a screen wide

std::uint8_t byte_of(double share)
{
    return static_cast<std::uint8_t>(std::lround(255 * std::clamp(share, 0.0, 1.0)));
}

IndexedImage::Colour in_bytes(const report::Colour& c)
{
    return {byte_of(c.red), byte_of(c.green), byte_of(c.blue), 255};
}

} // namespace

IndexedImage surface_image(const PictureSurface& surface)
{
    IndexedImage image{surface.cols, surface.rows, {{0, 0, 0, 0}}, {}};
    const report::MapColours& colours = report::map_colours(report::MapGround::light);
    for (std::size_t k = 0; k < surface.gain.size(); ++k)
        image.colours.push_back(in_bytes(colours.gain[k]));
    image.pixels.reserve(surface.points.size());
    for (const float points : surface.points) {
        const std::size_t k = gain_class(surface.gain, static_cast<double>(points));
        image.pixels.push_back(static_cast<std::uint8_t>(k < surface.gain.size() ? k + 1 : 0));
    }
    return image;
}

IndexedImage unmapped_image(const PictureSurface& surface)
{
    IndexedImage image{
        surface.cols,
        surface.rows,
        {{0, 0, 0, 0}, in_bytes(report::map_colours(report::MapGround::light).hatch)},
        {}};
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

const report::Colour& exposure_colour(std::size_t exposure_class, report::MapGround ground)
{
    static_assert(std::tuple_size_v<decltype(report::MapColours::exposure)> ==
                  exposure_classes.size());
    return report::map_colours(ground).exposure[exposure_class];
}

} // namespace fuelring
