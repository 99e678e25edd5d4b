// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/band_role.hpp"
#include "imagery/planes.hpp"

#include <cstddef>
#include <cstdint>
#include <vector>

namespace fuelring {

/// A band that is darker than this share of its median is dark. A planning default: open shade has
/// the light of the sky alone.
inline constexpr double dark_share = 0.4;

/// Where light is missing: a cell that some image shows dark in visible light and in near infrared
/// alike. A dark tree is bright in near infrared, shade is not; water is dark, too. Visible light
/// is the mean of the image's visible bands, and dark is relative to what the image shows
/// elsewhere, so that sensors need no calibration (common practice, no source for the number).
class ShadowRule {
public:
    ShadowRule() = default; ///< tells nothing
    /// `images`: as of a FeaturePlan, bands of all one after the other.
    explicit ShadowRule(const std::vector<ImageBands>& images);

    /// Whether some image has near infrared and a visible band, so that look() has something to
    /// see.
    bool can_tell() const { return !images_.empty(); }
    /// Takes medians of the known cells of windows. `windows`: planes of all bands each.
    /// Law: limits have two digits, so that a little other land leaves them as they are.
    void look(const std::vector<std::vector<Plane>>& windows);
    /// By cell: 1 where it is dark, else 0, as where a band is unknown. All 0 before look().
    std::vector<std::uint8_t> dark_cells(const std::vector<Plane>& bands) const;

    /// All members in order, read from or written to `bytes` (base/serialization.hpp).
    template <typename Bytes, typename Rule>
    static void archive(Bytes& bytes, Rule& rule)
    {
        auto count = static_cast<std::uint64_t>(rule.images_.size());
        bytes(count);
        if constexpr (Bytes::reads)
            rule.images_.clear();
        for (std::uint64_t k = 0; k < count; ++k) {
            if constexpr (Bytes::reads)
                rule.images_.emplace_back(); // no room made for a number that may be wrong
            auto& image = rule.images_[static_cast<std::size_t>(k)];
            bytes(image.visible, image.infrared, image.visible_below, image.infrared_below);
        }
    }

private:
    struct Image {
        std::vector<std::size_t> visible; ///< planes
        std::size_t infrared = 0;
        float visible_below = 0; ///< darker is dark; 0: nothing is
        float infrared_below = 0;
    };
    static float visible_light(const Image& image, const std::vector<Plane>& bands,
                               std::size_t cell);

    std::vector<Image> images_;
};

} // namespace fuelring
