// SPDX-License-Identifier: Apache-2.0
#include "imagery/shadow_rule.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

bool is_visible(BandRole role)
{
    return role == BandRole::blue || role == BandRole::green || role == BandRole::red;
}

/// To two digits. Not by powers of ten, whose last bits libraries do not agree on.
float rounded(double value)
{
    double unit = 1;
    while (value < 10 * unit && unit > 1e-12)
        unit /= 10;
    while (value >= 100 * unit)
        unit *= 10;
    return static_cast<float>(std::round(value / unit) * unit);
}

/// 0 where nothing is known.
float limit_of(std::vector<float>& values)
{
    if (values.empty())
        return 0;
    const auto middle = values.begin() + std::ssize(values) / 2;
    std::ranges::nth_element(values, middle);
    return *middle > 0 ? rounded(dark_share * static_cast<double>(*middle)) : 0;
}

} // namespace

ShadowRule::ShadowRule(const std::vector<ImageBands>& images)
{
    std::size_t first = 0;
    for (const ImageBands& bands : images) {
        Image image;
        bool infrared = false;
        for (std::size_t k = 0; k < bands.roles.size(); ++k) {
            if (is_visible(bands.roles[k]))
                image.visible.push_back(first + k);
            if (bands.roles[k] == BandRole::near_infrared && !infrared) {
                image.infrared = first + k;
                infrared = true;
            }
        }
        first += bands.roles.size();
        if (infrared && !image.visible.empty())
            images_.push_back(std::move(image));
    }
}

float ShadowRule::visible_light(const Image& image, const std::vector<Plane>& bands,
                                std::size_t cell)
{
    float sum = 0;
    for (const std::size_t plane : image.visible)
        sum += bands[plane][cell];
    return sum / static_cast<float>(image.visible.size());
}

void ShadowRule::look(const std::vector<std::vector<Plane>>& windows)
{
    for (Image& image : images_) {
        std::vector<float> visible, infrared;
        for (const std::vector<Plane>& bands : windows)
            for (std::size_t i = 0; i < bands[image.infrared].size(); ++i) {
                const float light = visible_light(image, bands, i);
                if (std::isnan(light) || std::isnan(bands[image.infrared][i]))
                    continue;
                visible.push_back(light);
                infrared.push_back(bands[image.infrared][i]);
            }
        image.visible_below = limit_of(visible);
        image.infrared_below = limit_of(infrared);
    }
}

std::vector<std::uint8_t> ShadowRule::dark_cells(const std::vector<Plane>& bands) const
{
    std::vector<std::uint8_t> dark(bands.empty() ? 0 : bands.front().size());
    for (const Image& image : images_)
        for (std::size_t i = 0; i < dark.size(); ++i) {
            const bool is_dark = bands[image.infrared][i] < image.infrared_below &&
                                 visible_light(image, bands, i) < image.visible_below;
            dark[i] = static_cast<std::uint8_t>(dark[i] | (is_dark ? 1 : 0));
        }
    return dark;
}

} // namespace fuelring
