// SPDX-License-Identifier: Apache-2.0

// Components of a block, run by run: what one row selects beside what the row above does, then the
// links over gaps that were found once for all prices (gap_links.hpp).
#include "plan/component_search.hpp"

#include <algorithm>

namespace fuelring::plan {

Labelling::BlockLabels ComponentSearch::run(std::size_t number)
{
    labels_ = {};
    sums_.clear();
    find_runs(grid_.blocks()[number]);
    if (labels_.runs.empty())
        return {};
    sets_ = DisjointSets<std::uint32_t>{labels_.runs.size()};
    for (std::size_t row = 1; row + 1 < labels_.row_first.size(); ++row)
        unite_with_row_above(row);
    unite_over_links(number);
    number_parts();
    labels_.runs.shrink_to_fit();
    return std::move(labels_);
}

void ComponentSearch::find_runs(const Block& block)
{
    labels_.row_first.reserve(static_cast<std::size_t>(block.rect.rows) + 1);
    for (int row = 0; row < static_cast<int>(block.rect.rows); ++row) {
        labels_.row_first.push_back(static_cast<std::uint32_t>(labels_.runs.size()));
        if (block.best_key[static_cast<std::size_t>(row)] >= selection_.price.key)
            block.stretches(row, [&](int from, int to, std::size_t k, ZoneId zone) {
                add_stretch(block, row, from, to, k, zone);
            });
    }
    labels_.row_first.push_back(static_cast<std::uint32_t>(labels_.runs.size()));
}

void ComponentSearch::add_stretch(const Block& block, int row, int from, int to, std::size_t k,
                                  ZoneId zone)
{
    for (int col = from; col < to; ++col, ++k)
        if (selection_.takes(block, k, block.rect.row + row, block.rect.col + col))
            add_cell(block, row, col, k, zone);
}

void ComponentSearch::add_cell(const Block& block, int row, int col, std::size_t k, ZoneId zone)
{
    std::vector<Labelling::Run>& runs = labels_.runs;
    if (runs.size() > labels_.row_first.back() && sums_.back().zone == zone &&
        runs.back().col + runs.back().cells == col) {
        ++runs.back().cells;
    } else {
        runs.push_back({static_cast<std::uint16_t>(col), 1, 0});
        sums_.emplace_back();
        sums_.back().zone = zone;
    }
    Component& sum = sums_.back();
    sum.conifer += block.conifer(k);
    sum.points += grid_.points(block, k, zone);
    if (block.key[k] > sum.best_key) {
        sum.best_key = block.key[k];
        sum.best_row = block.rect.row + row;
        sum.best_col = block.rect.col + col;
    }
}

void ComponentSearch::unite_with_row_above(std::size_t row)
{
    const std::vector<Labelling::Run>& runs = labels_.runs;
    const std::uint32_t end = labels_.row_first[row + 1];
    std::uint32_t above = labels_.row_first[row - 1];
    for (std::uint32_t k = labels_.row_first[row]; k < end; ++k) {
        while (above < labels_.row_first[row] && runs[above].end() <= runs[k].col)
            ++above;
        for (std::uint32_t a = above; a < labels_.row_first[row] && runs[a].col < runs[k].end();
             ++a)
            if (sums_[a].zone == sums_[k].zone)
                sets_.unite(a, k);
    }
}

void ComponentSearch::unite_over_links(std::size_t number)
{
    for (const GapLinks::Inside& link : links_.of(number).inside) {
        if (link.key < selection_.price.key)
            return;
        const std::uint32_t later = labels_.run_at(link.later.row, link.later.col);
        if (later != Labelling::none)
            sets_.unite(later, labels_.run_at(link.earlier.row, link.earlier.col));
    }
}

/// Sets stand by their first run, which comes before the others.
void ComponentSearch::number_parts()
{
    for (std::uint32_t k = 0; k < labels_.runs.size(); ++k) {
        const std::uint32_t first = sets_.find(k);
        if (first == k) {
            labels_.runs[k].part = static_cast<std::uint32_t>(labels_.parts.size());
            labels_.parts.emplace_back();
        } else {
            labels_.runs[k].part = labels_.runs[first].part;
        }
        labels_.parts[labels_.runs[k].part].add(sums_[k]);
    }
}

} // namespace fuelring::plan
