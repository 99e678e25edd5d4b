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

Labelling::Labelling(const PlanGrid& grid, const Selection& selection, const GapLinks& links,
                     const ShareOut& share_out)
    : labels_(grid.blocks().size())
{
    share_out(labels_.size(), [&](const std::function<std::size_t()>& next) {
        ComponentSearch search{grid, selection, links};
        for (std::size_t k = next(); k < labels_.size(); k = next())
            labels_[k] = search.run(k);
    });
    number_parts();
    join_blocks(grid, links, selection.price.key);
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

namespace {

/// Unites the parts of two blocks where cells of one zone share an edge, and where links join them.
class BlockJoiner {
public:
    BlockJoiner(const Labelling& labelling, DisjointSets<std::uint32_t>& sets)
        : labelling_(labelling), sets_(sets)
    {}
    void unite(std::uint32_t a, std::uint32_t b)
    {
        if (a != Labelling::none && b != Labelling::none &&
            labelling_.whole(a).zone == labelling_.whole(b).zone)
            sets_.unite(a, b);
    }
    void over_edges(const PlanGrid& grid, const Block& block)
    {
        const std::size_t b = grid.number_of(block);
        const auto rows = static_cast<int>(block.rect.rows);
        const auto cols = static_cast<int>(block.rect.cols);
        // A block that is smaller ends at the edge of the raster.
        const Block* right = grid.block_at(block.rect.row, block.rect.col + block_cells);
        if (right && cols == block_cells)
            for (int row = 0; row < rows; ++row)
                unite(labelling_.part_at(b, row, cols - 1),
                      labelling_.part_at(grid.number_of(*right), row, 0));
        const Block* below = grid.block_at(block.rect.row + block_cells, block.rect.col);
        if (below && rows == block_cells)
            for (int col = 0; col < cols; ++col)
                unite(labelling_.part_at(b, rows - 1, col),
                      labelling_.part_at(grid.number_of(*below), 0, col));
    }
    void over_links(std::size_t b, const GapLinks& links, Key lowest)
    {
        for (const GapLinks::Across& link : links.of(b).across) {
            if (link.key < lowest)
                return;
            unite(labelling_.part_at(b, link.later.row, link.later.col),
                  labelling_.part_at(link.block, link.earlier.row, link.earlier.col));
        }
    }

private:
    const Labelling& labelling_;
    DisjointSets<std::uint32_t>& sets_;
};

} // namespace

// Sets by their lowest part, so numbers do not depend on the order of links.
void Labelling::join_blocks(const PlanGrid& grid, const GapLinks& links, Key lowest)
{
    DisjointSets<std::uint32_t> sets{root_.size()};
    BlockJoiner joiner{*this, sets};
    for (std::size_t b = 0; b < labels_.size(); ++b) {
        if (labels_[b].runs.empty())
            continue;
        joiner.over_edges(grid, grid.blocks()[b]);
        joiner.over_links(b, links, lowest);
    }
    for (std::uint32_t part = 0; part < root_.size(); ++part)
        root_[part] = sets.find(part);
    for (std::uint32_t part = 0; part < root_.size(); ++part)
        if (root_[part] != part)
            whole_[root_[part]].add(whole_[part]);
}

std::uint32_t Labelling::BlockLabels::run_at(int row, int col) const
{
    const auto begin = runs.begin() + row_first[static_cast<std::size_t>(row)];
    const auto end = runs.begin() + row_first[static_cast<std::size_t>(row) + 1];
    const auto after =
        std::upper_bound(begin, end, col, [](int c, const Run& run) { return c < run.col; });
    if (after == begin || col >= std::prev(after)->end())
        return none;
    return static_cast<std::uint32_t>(std::prev(after) - runs.begin());
}

std::uint32_t Labelling::part_at(std::size_t block, int row, int col) const
{
    const BlockLabels& labels = labels_[block];
    const std::uint32_t run = labels.runs.empty() ? none : labels.run_at(row, col);
    return run == none ? none : labels.first_part + labels.runs[run].part;
}

} // namespace fuelring::plan
