// SPDX-License-Identifier: Apache-2.0

// Training cells and cells to be classified go through the same reader, so that a model is asked
// what it has learned. Training cells are read block by block of the grid: areas that lie close
// together share a window.
#include "run/classify/cell_features.hpp"

#include "base/parallel_for.hpp"
#include "io/cog/cog_writer.hpp"
#include "run/schedule/tiles.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace fuelring {

namespace {

constexpr std::int64_t most_cells_of_area = 400;   ///< more say little that is new
constexpr std::int64_t most_cells_of_all = 60'000; ///< learning takes seconds

template <typename Value>
std::vector<Value> inner_of(const std::vector<Value>& plane, const CellRect& outer,
                            const CellRect& inner)
{
    std::vector<Value> result(static_cast<std::size_t>(inner.cols * inner.rows));
    for (std::int64_t row = 0; row < inner.rows; ++row) {
        const auto from =
            plane.begin() + static_cast<std::ptrdiff_t>((inner.row - outer.row + row) * outer.cols +
                                                        inner.col - outer.col);
        std::copy_n(from, inner.cols,
                    result.begin() + static_cast<std::ptrdiff_t>(row * inner.cols));
    }
    return result;
}

/// 1 where all bands are known.
std::vector<std::uint8_t> known_in(const std::vector<Plane>& bands)
{
    std::vector<std::uint8_t> known(bands.front().size(), 1);
    for (const Plane& band : bands)
        for (std::size_t i = 0; i < known.size(); ++i)
            known[i] = static_cast<std::uint8_t>(known[i] & (std::isnan(band[i]) ? 0 : 1));
    return known;
}

/// A cell of an area, to be looked up.
struct Wanted {
    std::int64_t row, col;
    std::uint32_t area;
};

/// What became of it.
struct Sampled {
    enum class Fate { used, unknown, low } fate = Fate::unknown;
    std::vector<float> features;
};

std::vector<Wanted> wanted_cells(const TrainingLayer& layer)
{
    std::int64_t all = 0;
    std::vector<std::int64_t> counts;
    for (const TrainingShape& shape : layer.shapes) {
        counts.push_back(0);
        for (const CellRun& run : shape.cells)
            counts.back() += run.cols;
        all += std::min(counts.back(), most_cells_of_area);
    }
    const std::int64_t thinning = (all + most_cells_of_all - 1) / most_cells_of_all;
    std::vector<Wanted> wanted;
    for (std::size_t k = 0; k < layer.shapes.size(); ++k) {
        const std::int64_t step =
            std::max<std::int64_t>(1, (counts[k] + most_cells_of_area - 1) / most_cells_of_area) *
            std::max<std::int64_t>(1, std::min(thinning, counts[k]));
        std::int64_t at = 0;
        for (const CellRun& run : layer.shapes[k].cells)
            for (std::int64_t col = run.col; col < run.end(); ++col)
                if (at++ % step == 0)
                    wanted.push_back({run.row, col, static_cast<std::uint32_t>(k)});
    }
    return wanted;
}

/// Indices into the list, by block of the grid.
std::vector<std::vector<std::size_t>> by_block(const std::vector<Wanted>& wanted)
{
    std::map<std::pair<std::int64_t, std::int64_t>, std::vector<std::size_t>> blocks;
    for (std::size_t i = 0; i < wanted.size(); ++i)
        blocks[{floor_div(wanted[i].row, out_block_cells),
                floor_div(wanted[i].col, out_block_cells)}]
            .push_back(i);
    std::vector<std::vector<std::size_t>> result;
    for (auto& [block, cells] : blocks)
        result.push_back(std::move(cells));
    return result;
}

CellRect hull_of(const std::vector<Wanted>& wanted, const std::vector<std::size_t>& cells)
{
    CellRect rect;
    for (const std::size_t i : cells)
        rect = hull(rect, {wanted[i].col, wanted[i].row, 1, 1});
    return rect;
}

void look_up(const std::vector<Wanted>& wanted, const std::vector<std::size_t>& cells,
             const std::vector<TrainingArea>& areas, FeatureReader& reader,
             std::vector<Sampled>& into)
{
    const CellRect rect = hull_of(wanted, cells);
    const WindowFeatures& window = reader.read(rect);
    for (const std::size_t i : cells) {
        const auto at = static_cast<std::size_t>((wanted[i].row - rect.row) * rect.cols +
                                                 wanted[i].col - rect.col);
        if (window.known[at] == 0)
            continue;
        const bool tree = is_tree(areas[wanted[i].area].group);
        if (tree && window.height && (*window.height)[at] < least_tree_m) {
            into[i].fate = Sampled::Fate::low;
            continue;
        }
        into[i].fate = Sampled::Fate::used;
        for (const Plane& plane : window.planes)
            into[i].features.push_back(plane[at]);
    }
}

/// Cells that two areas of different groups claim are of neither.
void drop_contested(const std::vector<Wanted>& wanted, const std::vector<TrainingArea>& areas,
                    std::vector<Sampled>& cells)
{
    std::map<std::pair<std::int64_t, std::int64_t>, std::set<FuelGroup>> claims;
    for (const Wanted& w : wanted)
        claims[{w.row, w.col}].insert(areas[w.area].group);
    for (std::size_t i = 0; i < wanted.size(); ++i)
        if (claims[{wanted[i].row, wanted[i].col}].size() > 1)
            cells[i].fate = Sampled::Fate::unknown;
}

TrainingSet set_of(TrainingLayer& layer, const std::vector<Wanted>& wanted,
                   const std::vector<Sampled>& cells, std::size_t features)
{
    TrainingSet set;
    set.areas = std::move(layer.areas);
    set.cells.features = features;
    std::set<FuelGroup> groups;
    for (std::size_t i = 0; i < cells.size(); ++i)
        if (cells[i].fate == Sampled::Fate::used)
            groups.insert(set.areas[wanted[i].area].group);
    set.groups.assign(groups.begin(), groups.end());
    for (std::size_t i = 0; i < cells.size(); ++i) {
        TrainingArea& area = set.areas[wanted[i].area];
        if (cells[i].fate == Sampled::Fate::low)
            ++area.low_cells;
        else if (cells[i].fate == Sampled::Fate::unknown)
            ++area.dark_cells;
        if (cells[i].fate != Sampled::Fate::used)
            continue;
        ++area.cells;
        const auto k = std::ranges::find(set.groups, area.group) - set.groups.begin();
        set.cells.add(cells[i].features, static_cast<std::uint8_t>(k), 1);
        set.area_of.push_back(wanted[i].area);
    }
    weigh_by_area(set);
    return set;
}

} // namespace

FeatureReader::FeatureReader(const std::vector<ImageRaster>& images, const AnalysisGrid& target,
                             const FeaturePlan& plan, Sight sight, const ShadowRule* shadow)
    : plan_{&plan}, sight_{sight}, shadow_{shadow}
{
    for (const ImageRaster& image : images) {
        readers_.emplace_back(image, target);
        band_counts_.push_back(image.source().bands.roles.size());
    }
    bands_.resize(plan.band_count());
}

const WindowFeatures& FeatureReader::read(const CellRect& rect)
{
    const int halo = plan_->halo();
    const CellRect outer = widened(rect, halo);
    std::span<Plane> left = bands_;
    for (std::size_t k = 0; k < readers_.size(); ++k) {
        readers_[k].read(outer, left.first(band_counts_[k]));
        left = left.subspan(band_counts_[k]);
    }
    window_.rect = rect;
    window_.known = inner_of(known_in(bands_), outer, rect);
    window_.any_known = std::ranges::find(window_.known, 1) != window_.known.end();
    if (!window_.any_known)
        return window_;
    if (shadow_)
        window_.dark = inner_of(shadow_->dark_cells(bands_), outer, rect);
    const WindowSize size{static_cast<int>(outer.cols), static_cast<int>(outer.rows)};
    if (sight_ == Sight::features)
        plan_->compute(bands_, size, halo, window_.planes);
    else
        for (const auto& [season, into] : {std::pair{Season::leaf_on, &window_.summer},
                                           std::pair{Season::leaf_off, &window_.winter}})
            if (plan_->has_greenness(season))
                *into = plan_->greenness(bands_, size, halo, season);
    window_.height = plan_->height(bands_, size, halo);
    return window_;
}

std::vector<CellRect> training_windows(const TrainingLayer& layer)
{
    const std::vector<Wanted> wanted = wanted_cells(layer);
    std::vector<CellRect> windows;
    for (const std::vector<std::size_t>& cells : by_block(wanted))
        windows.push_back(hull_of(wanted, cells));
    return windows;
}

TrainingSet sample_training(TrainingLayer& layer, const std::vector<ImageRaster>& images,
                            const AnalysisGrid& target, const FeaturePlan& plan, int jobs,
                            const std::function<void()>& stop)
{
    const std::vector<Wanted> wanted = wanted_cells(layer);
    const auto blocks = by_block(wanted);
    std::vector<Sampled> cells(wanted.size());
    share_out(blocks.size(), jobs, [&](const auto& next) {
        std::optional<FeatureReader> reader;
        for (std::size_t k = next(); k < blocks.size(); k = next()) {
            stop();
            if (!reader)
                reader.emplace(images, target, plan);
            look_up(wanted, blocks[k], layer.areas, *reader, cells);
        }
    });
    drop_contested(wanted, layer.areas, cells);
    return set_of(layer, wanted, cells, plan.count());
}

} // namespace fuelring
