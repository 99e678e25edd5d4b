// SPDX-License-Identifier: Apache-2.0

// Each kind of feature has its pair of lines here: one that names it, one that computes it, in the
// same order. Plain functions of planes, without state.
#include "imagery/features.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace fuelring {

namespace {

using enum BandRole;

/// Of the squares that are looked at around a cell: 3 x 3 and 7 x 7 cells of 1 m, about a crown and
/// what it stands among. Chosen by trials with held-out plots (src/manual/imagery.md).
constexpr double square_radius_m = 1;
constexpr double wide_radius_m = 3;
constexpr int widest_radius_cells = 15;

/// The pairs whose normalised differences are taken, where an image has both.
constexpr auto pairs = std::to_array<std::pair<BandRole, BandRole>>({
    {green, blue},
    {red, blue},
    {red, green},
    {red_edge, blue},
    {red_edge, green},
    {red_edge, red},
    {near_infrared, blue},
    {near_infrared, green},
    {near_infrared, red},
    {near_infrared, red_edge},
});

std::string difference_name(BandRole a, BandRole b)
{
    return "difference_" + std::string{name_of(a)} + "_" + std::string{name_of(b)};
}

int cells_of(double radius_m, double cell_m)
{
    return std::clamp(static_cast<int>(std::lround(radius_m / cell_m)), 1, widest_radius_cells);
}

Plane difference(const Plane& a, const Plane& b)
{
    Plane result(a.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
        const float sum = a[i] + b[i];
        result[i] = sum == 0 ? 0 : (a[i] - b[i]) / sum; // 0: both dark
    }
    return result;
}

Plane mean_of(const std::vector<const Plane*>& all)
{
    Plane result(all.front()->size(), 0.0F);
    for (const Plane* plane : all)
        for (std::size_t i = 0; i < result.size(); ++i)
            result[i] += (*plane)[i];
    for (float& value : result)
        value /= static_cast<float>(all.size());
    return result;
}

Plane minus(const Plane& a, const Plane& b)
{
    Plane result(a.size());
    std::ranges::transform(a, b, result.begin(), [](float x, float y) { return x - y; });
    return result;
}

} // namespace

std::optional<std::size_t> FeaturePlan::Image::plane_of(BandRole role) const
{
    const auto found = std::ranges::find(bands.roles, role);
    if (found == bands.roles.end())
        return std::nullopt;
    return first + static_cast<std::size_t>(found - bands.roles.begin());
}

std::optional<FeaturePlan::BandPair> FeaturePlan::Image::plant_pair() const
{
    for (const auto& [high, low] :
         {std::pair{near_infrared, red}, std::pair{near_infrared, green}, std::pair{green, red}})
        if (plane_of(high) && plane_of(low))
            return BandPair{high, low};
    return std::nullopt;
}

std::vector<FeaturePlan::BandPair> FeaturePlan::Image::plant_pairs() const
{
    std::vector<BandPair> wide;
    if (const auto pair = plant_pair())
        wide.push_back(*pair);
    if (plane_of(near_infrared) && plane_of(red_edge))
        wide.push_back({near_infrared, red_edge});
    return wide;
}

FeaturePlan::FeaturePlan(std::vector<ImageBands> images, double cell_m)
    : radius_{cells_of(square_radius_m, cell_m)}, wide_{cells_of(wide_radius_m, cell_m)}
{
    for (ImageBands& bands : images) {
        const std::size_t first = band_count_;
        band_count_ += bands.roles.size();
        images_.push_back({first, std::move(bands), ""});
        const Image& image = images_.back();
        for (const auto& [role, place] :
             {std::pair{BandRole::height, &height_}, std::pair{surface, &surface_},
              std::pair{terrain, &terrain_}})
            if (!*place)
                *place = image.plane_of(role);
    }
    name_all();
}

void FeaturePlan::name_all()
{
    const auto has_light = [](const Image& image) {
        return std::ranges::any_of(image.bands.roles, is_spectral);
    };
    const bool several = std::ranges::count_if(images_, has_light) > 1;
    for (std::size_t k = 0; k < images_.size(); ++k) {
        if (several)
            images_[k].prefix = "image_" + std::to_string(k + 1) + "_";
        if (has_light(images_[k]))
            name_image(images_[k]);
    }
    if (has_height())
        for (const char* name : {"height", "height_mean", "height_deviation", "below_largest"})
            names_.emplace_back(name);
    name_seasons();
}

void FeaturePlan::name_image(const Image& image)
{
    const auto name = [&](const std::string& plain) { names_.push_back(image.prefix + plain); };
    int others = 0;
    for (const BandRole role : image.bands.roles)
        if (role == other)
            name("other_" + std::to_string(++others));
    for (const auto& [a, b] : pairs)
        if (image.plane_of(a) && image.plane_of(b))
            name(difference_name(a, b));
    for (const BandPair pair : image.plant_pairs()) {
        name("own_" + difference_name(pair.high, pair.low));
        name("wide_" + difference_name(pair.high, pair.low));
    }
    name("brightness_mean");
    name("brightness_deviation");
}

void FeaturePlan::name_seasons()
{
    const auto first_of = [&](Season season) -> std::optional<std::size_t> {
        for (std::size_t k = 0; k < images_.size(); ++k)
            if (images_[k].bands.season == season && images_[k].plant_pair())
                return k;
        return std::nullopt;
    };
    const auto on = first_of(Season::leaf_on);
    const auto off = first_of(Season::leaf_off);
    if (!on || !off)
        return;
    seasons_ = std::array{*on, *off};
    names_.emplace_back("fall_without_leaves");
}

std::optional<Plane> FeaturePlan::height(const std::vector<Plane>& bands) const
{
    if (height_)
        return bands[*height_];
    if (surface_ && terrain_)
        return minus(bands[*surface_], bands[*terrain_]);
    return std::nullopt;
}

std::optional<std::size_t> FeaturePlan::green_image(Season season) const
{
    for (std::size_t k = 0; k < images_.size(); ++k)
        if (images_[k].bands.season == season && images_[k].plane_of(near_infrared) &&
            images_[k].plane_of(red))
            return k;
    return std::nullopt;
}

Plane FeaturePlan::greenness(const std::vector<Plane>& bands, WindowSize size, Season season) const
{
    const Image& image = images_[green_image(season).value()];
    return mean_around(
        difference(bands[*image.plane_of(near_infrared)], bands[*image.plane_of(red)]), size,
        radius_);
}

void FeaturePlan::compute_image(const Image& image, const std::vector<Plane>& bands,
                                WindowSize size, std::vector<Plane>& into) const
{
    std::vector<const Plane*> light;
    for (std::size_t k = 0; k < image.bands.roles.size(); ++k)
        if (is_spectral(image.bands.roles[k]))
            light.push_back(&bands[image.first + k]);
    for (std::size_t k = 0; k < image.bands.roles.size(); ++k)
        if (image.bands.roles[k] == other)
            into.push_back(mean_around(bands[image.first + k], size, radius_));
    for (const auto& [a, b] : pairs) {
        const auto high = image.plane_of(a);
        const auto low = image.plane_of(b);
        if (high && low)
            into.push_back(mean_around(difference(bands[*high], bands[*low]), size, radius_));
    }
    for (const BandPair pair : image.plant_pairs()) {
        Plane own = difference(bands[*image.plane_of(pair.high)], bands[*image.plane_of(pair.low)]);
        Plane wide = mean_around(own, size, wide_);
        into.push_back(std::move(own));
        into.push_back(std::move(wide));
    }
    Surroundings around = surroundings(mean_of(light), size, radius_);
    into.push_back(std::move(around.mean));
    into.push_back(std::move(around.deviation));
}

std::vector<Plane> FeaturePlan::compute(const std::vector<Plane>& bands, WindowSize size) const
{
    std::vector<Plane> features;
    features.reserve(count());
    for (const Image& image : images_)
        if (std::ranges::any_of(image.bands.roles, is_spectral))
            compute_image(image, bands, size, features);
    if (const auto above_ground = height(bands)) {
        Surroundings around = surroundings(*above_ground, size, radius_);
        const Plane largest = largest_around(*above_ground, size, radius_);
        Plane below = minus(largest, *above_ground);
        features.push_back(*above_ground);
        features.push_back(std::move(around.mean));
        features.push_back(std::move(around.deviation));
        features.push_back(std::move(below));
    }
    if (seasons_) {
        const auto plants = [&](std::size_t image) {
            const BandPair pair = *images_[image].plant_pair();
            return difference(bands[*images_[image].plane_of(pair.high)],
                              bands[*images_[image].plane_of(pair.low)]);
        };
        features.push_back(minus(plants((*seasons_)[0]), plants((*seasons_)[1])));
    }
    return features;
}

} // namespace fuelring
