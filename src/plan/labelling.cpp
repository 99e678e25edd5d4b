// SPDX-License-Identifier: Apache-2.0

// Parts of blocks, found side by side, joined into whole components one link after the other.
#include "plan/labelling.hpp"

#include "base/disjoint_sets.hpp"
#include "plan/component_search.hpp"

#include <algorithm>
#include <tuple>

namespace fuelring::plan {

void Component::add(const Component& other)
{
    conifer += other.conifer;
    points += other.points;
    const auto place = [](const Component& c) {
        return std::tuple{~c.best_key, c.best_row, c.best_col};
    };
    if (zone == no_zone || place(other) < place(*this)) {
        best_key = other.best_key;
        best_row = other.best_row;
        best_col = other.best_col;
    }
    zone = other.zone;
}

Labelling::Labelling(const PlanGrid& grid, const Selection& selection, double gap_m,
                     const ShareOut& share_out)
    : labels_(grid.blocks().size())
{
    const GapRule rule{grid, gap_m};
    share_out(labels_.size(), [&](const std::function<std::size_t()>& next) {
        ComponentSearch search{grid, selection, rule};
        for (std::size_t k = next(); k < labels_.size(); k = next())
            labels_[k] = search.run(k);
    });
    number_parts();
    join_blocks(grid);
}

void Labelling::number_parts()
{
    std::uint32_t count = 0;
    for (BlockLabels& labels : labels_) {
        labels.first_part = count;
        count += static_cast<std::uint32_t>(labels.parts.size());
    }
    root_.resize(count);
    whole_.reserve(count);
    for (BlockLabels& labels : labels_) {
        whole_.insert(whole_.end(), labels.parts.begin(), labels.parts.end());
        labels.parts = {};
    }
}

// Sets by their lowest part, so numbers do not depend on the order of links.
void Labelling::join_blocks(const PlanGrid& grid)
{
    DisjointSets<std::uint32_t> sets{root_.size()};
    for (BlockLabels& labels : labels_) {
        for (const Link& link : labels.links)
            sets.unite(link.part == none ? part_at(grid, link.other_row, link.other_col)
                                         : labels.first_part + link.part,
                       part_at(grid, link.row, link.col));
        labels.links = {};
    }
    for (std::uint32_t part = 0; part < root_.size(); ++part)
        root_[part] = sets.find(part);
    for (std::uint32_t part = 0; part < root_.size(); ++part)
        if (root_[part] != part)
            whole_[root_[part]].add(whole_[part]);
}

std::uint32_t Labelling::part_at(std::size_t block, int row, int col) const
{
    const BlockLabels& labels = labels_[block];
    if (labels.runs.empty())
        return none;
    const auto begin = labels.runs.begin() + labels.row_first[static_cast<std::size_t>(row)];
    const auto end = labels.runs.begin() + labels.row_first[static_cast<std::size_t>(row) + 1];
    const auto after =
        std::upper_bound(begin, end, col, [](int c, const Run& run) { return c < run.col; });
    if (after == begin || col >= std::prev(after)->col + std::prev(after)->cells)
        return none;
    return labels.first_part + std::prev(after)->part;
}

std::uint32_t Labelling::part_at(const PlanGrid& grid, std::int64_t row, std::int64_t col) const
{
    const Block& block = *grid.block_at(row, col);
    return part_at(grid.number_of(block), static_cast<int>(row - block.rect.row),
                   static_cast<int>(col - block.rect.col));
}

} // namespace fuelring::plan
