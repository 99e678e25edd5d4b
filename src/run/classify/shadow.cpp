// SPDX-License-Identifier: Apache-2.0
#include "run/classify/shadow.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>

namespace fuelring {

namespace {

constexpr std::size_t most_windows = 64;
constexpr std::int64_t most_side = 64; ///< of a window, in cells

CellRect middle_of(const CellRect& rect)
{
    const std::int64_t cols = std::min(rect.cols, most_side);
    const std::int64_t rows = std::min(rect.rows, most_side);
    return {rect.col + (rect.cols - cols) / 2, rect.row + (rect.rows - rows) / 2, cols, rows};
}

} // namespace

ShadowRule shadow_rule(const std::vector<ImageRaster>& images, const AnalysisGrid& target,
                       const std::vector<CellRect>& windows)
{
    std::vector<ImageBands> bands;
    std::vector<ImageRaster::Reader> readers;
    for (const ImageRaster& image : images)
        bands.push_back(image.source().bands);
    ShadowRule rule{bands};
    if (!rule.can_tell())
        return rule;
    for (const ImageRaster& image : images)
        readers.emplace_back(image, target);
    std::vector<std::vector<Plane>> planes;
    const std::size_t count = std::min(windows.size(), most_windows);
    for (std::size_t k = 0; k < count; ++k) {
        std::vector<Plane>& window = planes.emplace_back();
        for (std::size_t i = 0; i < readers.size(); ++i) {
            std::vector<Plane> of_image(bands[i].roles.size());
            readers[i].read(middle_of(windows[k * windows.size() / count]), of_image);
            std::ranges::move(of_image, std::back_inserter(window));
        }
    }
    rule.look(planes);
    return rule;
}

} // namespace fuelring
