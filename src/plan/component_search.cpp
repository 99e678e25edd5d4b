// SPDX-License-Identifier: Apache-2.0

// Components by blocks. Each block is looked at with a margin as wide as a way may be long: its
// selected cells get numbers, neighbours of one zone are united, and from the rest every open cell
// learns the nearest selected cell (buckets of centimetres, no further than half the longest way).
// Where two such territories meet and both ways together are short enough, the two are united:
// components by way length come out of territories exactly, since along a shortest way between two
// cells no point is further from a selected cell than from either end. What a block finds out about
// cells of its margin becomes a link to the block they belong to.
#include "plan/component_search.hpp"

#include <algorithm>

namespace fuelring::plan {

namespace {

/// row_first[row + 1] counts the runs up to and with the row; rows without runs are filled later.
void add_to_runs(Labelling::BlockLabels& labels, std::size_t row, std::uint16_t col,
                 std::uint32_t part)
{
    const bool same_row = !labels.runs.empty() && labels.row_first[row + 1] == labels.runs.size();
    if (same_row && labels.runs.back().part == part &&
        labels.runs.back().col + labels.runs.back().cells == col) {
        ++labels.runs.back().cells;
        return;
    }
    labels.runs.push_back({col, 1, part});
    labels.row_first[row + 1] = static_cast<std::uint32_t>(labels.runs.size());
}

} // namespace

ComponentSearch::ComponentSearch(const PlanGrid& grid, const Selection& selection,
                                 const GapRule& rule)
    : grid_(grid), selection_(selection), rule_(rule), margin_(rule.reach_cells()),
      half_(rule.limit_cm / 2), queue_(half_)
{}

Labelling::BlockLabels ComponentSearch::run(std::size_t number)
{
    number_ = number;
    within_ = widened(grid_.blocks()[number].rect, margin_);
    window_ = {widened(within_, 1)};
    load();
    if (cells_.empty())
        return {};
    unite_neighbours();
    unite_over_gaps();
    return collect();
}

void ComponentSearch::load()
{
    label_.assign(window_.size(), nobody);
    cells_.clear();
    for_each_block(grid_, within_,
                   [&](const Block& block, const CellRect& part) { load_cells(block, part); });
    if (cells_.empty())
        return;
    zone_.assign(window_.size(), no_zone);
    closed_.assign(window_.size(), 0);
    for_each_block(grid_, within_, [&](const Block& block, const CellRect& part) {
        window_.look_at(
            block, part,
            [&](std::int32_t from, std::int32_t to, ZoneId zone) { zone_.fill(from, to, zone); },
            [&](std::int32_t cell, std::size_t) { closed_[cell] = 1; });
    });
    parts_ = DisjointSets<std::int32_t>{cells_.size()};
}

void ComponentSearch::load_cells(const Block& block, const CellRect& part)
{
    const std::size_t number = grid_.number_of(block);
    const int from = static_cast<int>(part.col - block.rect.col);
    const int to = from + static_cast<int>(part.cols);
    for (std::int64_t row = part.row; row < part.row + part.rows; ++row)
        block.conifers(static_cast<int>(row - block.rect.row), from, to, [&](int c, std::size_t k) {
            const std::int64_t col = block.rect.col + c;
            if (!selection_.takes(block, number, k, row, col))
                return;
            const std::int32_t cell = window_.at(row, col);
            label_[cell] = static_cast<std::int32_t>(cells_.size());
            cells_.push_back(
                {cell, static_cast<std::uint32_t>(number), static_cast<std::uint32_t>(k)});
        });
}

/// Along a row first, so that a cell need not look down where its left neighbour did.
void ComponentSearch::unite_neighbours()
{
    const auto selected = [&](std::int32_t at, ZoneId of) {
        return label_[at] != nobody && zone_[at] == of;
    };
    for (const Cell& cell : cells_)
        if (selected(cell.at + 1, zone_[cell.at]))
            parts_.unite(number_of(cell), label_[cell.at + 1]);
    for (const Cell& cell : cells_) {
        const ZoneId of = zone_[cell.at];
        const std::int32_t below = window_.next(cell.at, {1, 0});
        if (selected(below, of) && !(selected(cell.at - 1, of) && selected(below - 1, of)))
            parts_.unite(number_of(cell), label_[below]);
    }
}

template <typename Visit>
void ComponentSearch::steps(std::int32_t from, Visit&& visit) const
{
    const ZoneId of = zone_[from];
    for (const Step& s : all_steps) { // the frame around the window belongs to no zone
        const std::int32_t to = window_.next(from, s);
        if (zone_[to] != of || (label_[to] == nobody && !open(to, of)))
            continue;
        if (s.is_aslant() && !open(window_.next(from, {s.row, 0}), of) && !open(from + s.col, of))
            continue;
        visit(to, rule_.step_cm(s));
    }
}

/// Ways begin at cells beside open ground only.
void ComponentSearch::find_edges()
{
    edges_.clear();
    for (const Cell& cell : cells_)
        if (std::any_of(all_steps.begin(), all_steps.end(), [&](const Step& s) {
                return open(window_.next(cell.at, s), zone_[cell.at]);
            }))
            edges_.push_back(cell.at);
}

void ComponentSearch::unite_over_gaps()
{
    find_edges();
    way_.assign(window_.size(), UINT16_MAX);
    touched_.clear();
    for (const Cell& cell : cells_)
        way_[cell.at] = 0;
    for (const std::int32_t at : edges_)
        spread(at, 0);
    queue_.drain([&](int way, std::int32_t at) {
        if (way_[at] != way)
            return; // reached by a shorter way since
        touched_.push_back(at);
        spread(at, way);
    });
    for (const std::int32_t at : edges_)
        meet(at);
    for (const std::int32_t at : touched_)
        meet(at);
}

void ComponentSearch::spread(std::int32_t from, int way)
{
    steps(from, [&](std::int32_t to, int step) {
        const int d = way + step;
        if (d > half_ || d >= way_[to])
            return;
        way_[to] = static_cast<std::uint16_t>(d);
        label_[to] = label_[from];
        queue_.push(d, to);
    });
}

void ComponentSearch::meet(std::int32_t from)
{
    steps(from, [&](std::int32_t to, int step) {
        const std::int32_t other = label_[to];
        if (other != nobody && other != label_[from] &&
            way_[from] + step + way_[to] <= rule_.limit_cm)
            parts_.unite(label_[from], other);
    });
}

Component ComponentSearch::component_of(const Cell& cell) const
{
    const Block& block = grid_.blocks()[cell.block];
    const ZoneId zone = zone_[cell.at];
    return {.conifer = block.conifer(cell.k),
            .points = grid_.points(block, cell.k, zone),
            .best_key = block.key[cell.k],
            .best_row = window_.row_of(cell.at),
            .best_col = window_.col_of(cell.at),
            .zone = zone};
}

/// Parts are numbered by their first cell in the order of rows, in which a block's own cells stand.
Labelling::BlockLabels ComponentSearch::collect()
{
    Labelling::BlockLabels labels;
    std::vector<std::uint32_t> part_of(cells_.size(), Labelling::none);
    const CellRect& own = grid_.blocks()[number_].rect;
    labels.row_first.assign(static_cast<std::size_t>(own.rows) + 1, 0);
    for (const Cell& cell : cells_) {
        if (cell.block != number_)
            continue;
        const auto root = static_cast<std::size_t>(parts_.find(number_of(cell)));
        if (part_of[root] == Labelling::none) {
            part_of[root] = static_cast<std::uint32_t>(labels.parts.size());
            labels.parts.emplace_back();
        }
        labels.parts[part_of[root]].add(component_of(cell));
        add_to_runs(labels, static_cast<std::size_t>(window_.row_of(cell.at) - own.row),
                    static_cast<std::uint16_t>(window_.col_of(cell.at) - own.col), part_of[root]);
    }
    for (std::size_t row = 1; row < labels.row_first.size(); ++row)
        labels.row_first[row] = std::max(labels.row_first[row], labels.row_first[row - 1]);
    add_links(labels, part_of);
    labels.runs.shrink_to_fit();
    return labels;
}

void ComponentSearch::add_links(Labelling::BlockLabels& labels,
                                const std::vector<std::uint32_t>& part_of)
{
    std::vector<std::int32_t> first(cells_.size(), nobody); // of a component without own cells
    for (const Cell& cell : cells_) {
        if (cell.block == number_)
            continue;
        const auto root = static_cast<std::size_t>(parts_.find(number_of(cell)));
        const bool outside = part_of[root] == Labelling::none;
        if (outside && first[root] == nobody) {
            first[root] = cell.at;
            continue;
        }
        labels.links.push_back({part_of[root], window_.row_of(cell.at), window_.col_of(cell.at),
                                outside ? window_.row_of(first[root]) : 0,
                                outside ? window_.col_of(first[root]) : 0});
    }
}

} // namespace fuelring::plan
