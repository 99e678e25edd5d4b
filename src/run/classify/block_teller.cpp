// SPDX-License-Identifier: Apache-2.0
#include "run/classify/block_teller.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <utility>

namespace fuelring {

namespace {

constexpr float beyond_share = 0.1F; ///< of a feature's range, by which training may be left
constexpr double unlike_share = 0.5; ///< of a block that is unlike training; a planning default

void add_land(LandTotals& into, const LandTotals& more)
{
    into.known_cells += more.known_cells;
    into.shadow_cells += more.shadow_cells;
    into.share_sum += more.share_sum;
    into.told.add(more.told);
}

} // namespace

struct BlockTeller::ToldCell {
    float share = 0; ///< as it is written
    std::uint16_t code = low_code;
    std::uint16_t confidence = no_data_16; ///< nobody knows
    std::optional<float> told;             ///< by the model, before small shares become 0
    bool dark = false;
};

void ClassTotals::add(const ClassTotals& more)
{
    for (const auto& [code, cells] : more.cells_of_code)
        cells_of_code[code] += cells;
    add_land(all, more.all);
    add_land(near, more.near);
    near_unknown_cells += more.near_unknown_cells;
    outside.resize(std::max(outside.size(), more.outside.size()));
    for (std::size_t k = 0; k < more.outside.size(); ++k)
        outside[k] += more.outside[k];
    known_blocks += more.known_blocks;
    unlike_blocks += more.unlike_blocks;
}

BlockTeller::BlockTeller(const ClassWork& work)
    : work_{work}, reader_{work.images, work.grid.analysis, work.plan,
                           work.model.rule ? Sight::greenness : Sight::features, &work.model.shadow}
{}

bool BlockTeller::tell(const ClassBlock& block, BlockCells& into, ClassTotals& totals)
{
    const CellRect rect = intersection({block.col * out_block_cells, block.row * out_block_cells,
                                        out_block_cells, out_block_cells},
                                       work_.grid.analysis.grid.extent());
    near_ = work_.homes ? work_.homes->cells_in(rect) : std::vector<std::uint8_t>{};
    const WindowFeatures& window = reader_.read(rect);
    count_unknown_near(window, totals);
    if (!window.any_known)
        return false;
    if (!work_.model.rule) {
        likelihoods_.resize(window.known.size() * work_.model.groups.size());
        const std::vector<std::span<const float>> planes(window.planes.begin(),
                                                         window.planes.end());
        work_.model.trees.apply(planes, likelihoods_);
        count_outside(window, totals);
    }
    for (std::int64_t row = 0; row < rect.rows; ++row)
        tell_row(window, row, into, totals);
    for (std::size_t code = 0; code < counts_.size(); ++code)
        if (const std::int64_t cells = std::exchange(counts_[code], 0); cells > 0)
            totals.cells_of_code[static_cast<std::uint16_t>(code)] += cells;
    return true;
}

void BlockTeller::tell_row(const WindowFeatures& window, std::int64_t row, BlockCells& into,
                           ClassTotals& totals)
{
    for (std::int64_t col = 0; col < window.rect.cols; ++col) {
        const auto from = static_cast<std::size_t>(row * window.rect.cols + col);
        if (window.known[from] == 0)
            continue;
        ToldCell cell = work_.model.rule ? by_rule(window, from) : learned(window, from);
        cell.dark = window.dark[from] != 0;
        const auto to = static_cast<std::size_t>(row * out_block_cells + col);
        into.share[to] = cell.share;
        into.code[to] = cell.code;
        into.confidence[to] = cell.confidence;
        if (cell.dark)
            into.confidence[to] = static_cast<std::uint16_t>(
                shadow_code + (cell.confidence == no_data_16 ? 0 : cell.confidence));
        ++counts_[cell.code];
        put(cell, totals.all);
        if (!near_.empty() && near_[from] != 0)
            put(cell, totals.near);
    }
}

void BlockTeller::put(const ToldCell& cell, LandTotals& into)
{
    ++into.known_cells;
    into.shadow_cells += cell.dark ? 1 : 0;
    into.share_sum += static_cast<double>(cell.share);
    if (cell.told)
        into.told.add(*cell.told);
}

BlockTeller::ToldCell BlockTeller::by_rule(const WindowFeatures& window, std::size_t from) const
{
    const FuelGroup group =
        group_by_rule(*work_.model.rule, (*window.height)[from], (*window.winter)[from],
                      window.summer ? std::optional{(*window.summer)[from]} : std::nullopt);
    ToldCell cell;
    cell.share = conifer_share_of(group);
    if (group != FuelGroup::grass)
        cell.code = static_cast<std::uint16_t>(group);
    return cell;
}

BlockTeller::ToldCell BlockTeller::learned(const WindowFeatures& window, std::size_t from) const
{
    ToldCell cell;
    cell.confidence = 100;
    if (work_.model.only_trees && window.height && (*window.height)[from] < least_tree_m)
        return cell;
    float share = 0, best = -1;
    std::size_t likeliest = 0;
    for (std::size_t k = 0; k < work_.model.groups.size(); ++k) {
        const float p = likelihoods_[k * window.known.size() + from];
        share += p * conifer_share_of(work_.model.groups[k]);
        if (p > best) {
            best = p;
            likeliest = k;
        }
    }
    cell.told = work_.model.calibration(share);
    cell.share = *cell.told < least_written_share ? 0 : *cell.told;
    cell.code = static_cast<std::uint16_t>(work_.model.groups[likeliest]);
    cell.confidence = static_cast<std::uint16_t>(std::lround(best * 100));
    return cell;
}

void BlockTeller::count_outside(const WindowFeatures& window, ClassTotals& totals) const
{
    totals.outside.resize(window.planes.size());
    std::int64_t most = 0;
    for (std::size_t k = 0; k < window.planes.size(); ++k) {
        const auto [smallest, largest] = work_.model.ranges[k];
        const float margin = (largest - smallest) * beyond_share;
        const float low = smallest - margin, high = largest + margin;
        const float* const values = window.planes[k].data();
        int count = 0;
        for (std::size_t i = 0; i < window.known.size(); ++i)
            count += window.known[i] & (values[i] >= low && values[i] <= high ? 0 : 1);
        totals.outside[k] += count;
        most = std::max<std::int64_t>(most, count);
    }
    const auto known = std::ranges::count(window.known, std::uint8_t{1});
    ++totals.known_blocks;
    if (static_cast<double>(most) > unlike_share * static_cast<double>(known))
        ++totals.unlike_blocks;
}

void BlockTeller::count_unknown_near(const WindowFeatures& window, ClassTotals& totals) const
{
    for (std::size_t i = 0; i < near_.size(); ++i)
        totals.near_unknown_cells += near_[i] != 0 && window.known[i] == 0 ? 1 : 0;
}

} // namespace fuelring
