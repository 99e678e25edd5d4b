// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/band_role.hpp"
#include "imagery/planes.hpp"

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// The features that a set of images gives each cell, and how they are computed.
///
/// Of every image with light in it: normalised differences (a - b) / (a + b) of every pair of its
/// bands, as means over a square of 3 m around the cell; of the two that tell plants best also in
/// the cell itself, for what is narrow, and over 7 m; mean and deviation of brightness in the small
/// square; bands that are something else, as means. Of heights: the cell's own, and in the small
/// square mean, deviation, and how far the cell lies below the largest. Of images with and without
/// leaves: by how much the difference that tells plants best falls.
///
///     const FeaturePlan plan{bands, 1.0};
///     plan.compute(planes, size, plan.halo(), features);
///
/// Normalised differences are the usual indices of vegetation, spreads in squares the usual
/// measures of texture (common practice, no source).
class FeaturePlan {
public:
    /// `cell_m`: side of a cell, which sets how many cells make the square.
    FeaturePlan(std::vector<ImageBands> images, double cell_m);

    const std::vector<std::string>& names() const { return names_; }
    std::size_t count() const { return names_.size(); }
    /// Cells around a window that its features look at.
    int halo() const { return wide_; }
    /// Planes that compute() wants: all bands of all images, in order.
    std::size_t band_count() const { return band_count_; }
    bool has_height() const { return height_.has_value() || (surface_ && terrain_); }

    /// The features of a window but for its margin, one plane of size.inside(margin) for each name.
    /// `bands`: band_count() planes of `size`. Planes of `into` are used again.
    /// Law: NaN where what a feature is made of is unknown; where margin >= halo(), else a function
    /// of the cells within halo() of the cell alone.
    void compute(const std::vector<Plane>& bands, WindowSize size, int margin,
                 std::vector<Plane>& into) const;

    /// Height above ground from the bands, likewise; empty where the images have none.
    std::optional<Plane> height(const std::vector<Plane>& bands, WindowSize size, int margin) const;

    /// Whether an image of the season has near infrared and red.
    bool has_greenness(Season season) const { return green_image(season).has_value(); }
    /// (near infrared - red) / (near infrared + red) of the first such image, as a mean over the
    /// square of 3 m, likewise. Requires: has_greenness(season).
    Plane greenness(const std::vector<Plane>& bands, WindowSize size, int margin,
                    Season season) const;

private:
    struct BandPair {
        BandRole high, low;
    };
    struct Image {
        std::size_t first = 0; ///< plane of its first band
        ImageBands bands;
        std::string prefix; ///< of names, where several images have light
        std::optional<std::size_t> plane_of(BandRole role) const;
        /// The pair whose difference tells plants best.
        std::optional<BandPair> plant_pair() const;
        /// It, and near infrared with red edge: looked at in the cell and in the wide square, too.
        std::vector<BandPair> plant_pairs() const;
    };

    std::optional<std::size_t> green_image(Season season) const;
    void name_all();
    void name_image(const Image& image);
    void name_seasons();
    class Maker;
    void compute_image(const Image& image, Maker& maker) const;

    std::vector<Image> images_;
    std::optional<std::size_t> height_, surface_, terrain_; ///< planes
    std::optional<std::array<std::size_t, 2>> seasons_;     ///< images: leaf on, leaf off
    std::vector<std::string> names_;
    std::size_t band_count_ = 0;
    int radius_; ///< of squares, in cells
    int wide_;
};

} // namespace fuelring
