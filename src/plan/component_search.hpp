// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/disjoint_sets.hpp"
#include "plan/gap_links.hpp"
#include "plan/labelling.hpp"

#include <cstdint>
#include <vector>

namespace fuelring::plan {

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

} // namespace fuelring::plan
