// SPDX-License-Identifier: Apache-2.0

// Parts of blocks, found side by side, joined into whole components one link after the other. In a
// block, run by run: what one row selects beside what the row above does, then the links over gaps
// that were found once for all prices (gap_links.hpp).
#include "plan/labelling.hpp"

#include "base/disjoint_sets.hpp"

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

namespace {

/// Finds the components of one block by its own edges and links. One worker's buffers, kept from
/// block to block; all arguments must outlive it.
/// Law: two selected cells of one zone are in one component where they share an edge or a link
/// joins them, and where a chain of such cells does.
/// Cost: linear in the cells of rows with a key that the price accepts.
class ComponentSearch {
public:
    ComponentSearch(const PlanGrid& grid, const Selection& selection, const GapLinks& links)
        : grid_(grid), selection_(selection), links_(links)
    {}
    /// Parts of the block's cells, numbered by their first cell by row and column.
    /// Empty where the block holds no selected cell.
    Labelling::BlockLabels run(std::size_t number);

private:
    void find_runs(const Block& block);
    /// Selected cells of a stretch of conifers.
    void add_stretch(const Block& block, int row, int from, int to, std::size_t k, ZoneId zone);
    /// A cell goes on with the run that ends before it, or begins one.
    void add_cell(const Block& block, int row, int col, std::size_t k, ZoneId zone);
    /// Over the edges between a row and the one above.
    void unite_with_row_above(std::size_t row);
    void unite_over_links(std::size_t number);
    void number_parts();

    const PlanGrid& grid_;
    const Selection& selection_;
    const GapLinks& links_;
    Labelling::BlockLabels labels_;
    std::vector<Component> sums_; ///< by run
    DisjointSets<std::uint32_t> sets_;
};

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

} // namespace

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
