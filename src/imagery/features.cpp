// SPDX-License-Identifier: Apache-2.0

// Each kind of feature has its pair of lines here: one that names it, one that computes it, in the
// same order. Plain functions of planes, without state.
#include "imagery/features.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
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

float difference(float a, float b)
{
    const float sum = a + b;
    return sum == 0 ? 0 : (a - b) / sum; // 0: both dark
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

/// Makes planes of one window, each from rows that are computed when they are needed.
class FeaturePlan::Maker {
public:
    Maker(const FeaturePlan& plan, const std::vector<Plane>& bands, WindowSize size, int margin,
          std::vector<Plane>& into)
        : plan_{plan}, bands_{bands}, size_{size}, margin_{margin}, into_{into}
    {
        into_.resize(plan.count());
    }

    Plane& next() { return into_[made_++]; }
    void mean(const FillRow& rows) { square(plan_.radius_).mean(rows, next()); }
    void wide_mean(const FillRow& rows) { square(plan_.wide_).mean(rows, next()); }
    void mean_and_deviation(const FillRow& rows)
    {
        Plane& mean = next();
        square(plan_.radius_).mean_and_deviation(rows, mean, next());
    }
    void own(const FillRow& rows) { copy(rows, next()); }
    /// How far the cell, which is the plane `own`, lies below the largest around.
    void below_largest(const FillRow& rows, const Plane& own)
    {
        Plane& below = next();
        square(plan_.radius_).largest(rows, below);
        std::ranges::transform(below, own, below.begin(), std::minus<>{});
    }
    void copy(const FillRow& rows, Plane& plane) const
    {
        Squares{size_, 0, margin_}.mean(rows, plane);
    }
    Squares square(int radius) const { return {size_, radius, margin_}; }

    FillRow band(std::size_t plane) const { return rows_of(bands_[plane], size_); }
    FillRow minus(std::size_t a, std::size_t b) const
    {
        return of_two(a, b, [](float x, float y) { return x - y; });
    }
    FillRow pair(const Image& image, BandPair of) const
    {
        return of_two(*image.plane_of(of.high), *image.plane_of(of.low), difference);
    }
    /// Mean of the bands of light.
    FillRow brightness(const Image& image) const
    {
        std::vector<const float*> light;
        for (std::size_t k = 0; k < image.bands.roles.size(); ++k)
            if (is_spectral(image.bands.roles[k]))
                light.push_back(bands_[image.first + k].data());
        return [light, cols = cols()](int row, float* into) {
            std::fill_n(into, cols, 0.0F);
            for (const float* plane : light)
                for (std::size_t c = 0; c < cols; ++c)
                    into[c] += plane[static_cast<std::size_t>(row) * cols + c];
            const auto count = static_cast<float>(light.size());
            for (std::size_t c = 0; c < cols; ++c)
                into[c] /= count;
        };
    }
    /// By how much the difference that tells plants best is smaller in the second image.
    FillRow fall(const Image& on, const Image& off) const
    {
        return [with = pair(on, *on.plant_pair()), without = pair(off, *off.plant_pair()),
                other = Plane(cols())](int row, float* into) mutable {
            with(row, into);
            without(row, other.data());
            for (std::size_t c = 0; c < other.size(); ++c)
                into[c] -= other[c];
        };
    }

private:
    std::size_t cols() const { return static_cast<std::size_t>(size_.cols); }
    template <typename Combine>
    FillRow of_two(std::size_t a, std::size_t b, const Combine& combine) const
    {
        return [x = bands_[a].data(), y = bands_[b].data(), cols = cols(), combine](int row,
                                                                                    float* into) {
            const std::size_t first = static_cast<std::size_t>(row) * cols;
            for (std::size_t c = 0; c < cols; ++c)
                into[c] = combine(x[first + c], y[first + c]);
        };
    }

    const FeaturePlan& plan_;
    const std::vector<Plane>& bands_;
    WindowSize size_;
    int margin_;
    std::vector<Plane>& into_;
    std::size_t made_ = 0;
};

std::optional<Plane> FeaturePlan::height(const std::vector<Plane>& bands, WindowSize size,
                                         int margin) const
{
    if (!has_height())
        return std::nullopt;
    std::vector<Plane> nothing;
    const Maker maker{*this, bands, size, margin, nothing};
    Plane result;
    maker.copy(height_ ? maker.band(*height_) : maker.minus(*surface_, *terrain_), result);
    return result;
}

std::optional<std::size_t> FeaturePlan::green_image(Season season) const
{
    for (std::size_t k = 0; k < images_.size(); ++k)
        if (images_[k].bands.season == season && images_[k].plane_of(near_infrared) &&
            images_[k].plane_of(red))
            return k;
    return std::nullopt;
}

Plane FeaturePlan::greenness(const std::vector<Plane>& bands, WindowSize size, int margin,
                             Season season) const
{
    std::vector<Plane> nothing;
    const Maker maker{*this, bands, size, margin, nothing};
    Plane result;
    maker.square(radius_).mean(
        maker.pair(images_[green_image(season).value()], {near_infrared, red}), result);
    return result;
}

void FeaturePlan::compute_image(const Image& image, Maker& maker) const
{
    for (std::size_t k = 0; k < image.bands.roles.size(); ++k)
        if (image.bands.roles[k] == other)
            maker.mean(maker.band(image.first + k));
    for (const auto& [a, b] : pairs)
        if (image.plane_of(a) && image.plane_of(b))
            maker.mean(maker.pair(image, {a, b}));
    for (const BandPair pair : image.plant_pairs()) {
        maker.own(maker.pair(image, pair));
        maker.wide_mean(maker.pair(image, pair));
    }
    maker.mean_and_deviation(maker.brightness(image));
}

void FeaturePlan::compute(const std::vector<Plane>& bands, WindowSize size, int margin,
                          std::vector<Plane>& into) const
{
    Maker maker{*this, bands, size, margin, into};
    for (const Image& image : images_)
        if (std::ranges::any_of(image.bands.roles, is_spectral))
            compute_image(image, maker);
    if (has_height()) {
        const FillRow height = height_ ? maker.band(*height_) : maker.minus(*surface_, *terrain_);
        Plane& own = maker.next();
        maker.copy(height, own);
        maker.mean_and_deviation(height);
        maker.below_largest(height, own);
    }
    if (seasons_)
        maker.own(maker.fall(images_[(*seasons_)[0]], images_[(*seasons_)[1]]));
}

} // namespace fuelring
