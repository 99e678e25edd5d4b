// SPDX-License-Identifier: Apache-2.0

// Growing small components as Prim's algorithm grows a tree: the frontier holds what can be had
// next, the best of it is taken, and its neighbours over gaps join the frontier. Keys are compared
// by levels of an eighth of a doubling, so that a cell next door goes before one that is hardly
// better far away: a unit should be a place, not a thread. Each seed grows as if it were alone and
// no further than 64 cells, so blocks can be done side by side; who meets whom is settled later, in
// the order of seeds (price_plan.cpp). Nothing proves the result best: it is a heuristic for a
// knapsack of connected items, and `bounds` tells how much it may have missed.
//
// Block by block: a window around a block holds all that its seeds can reach, and is read in
// patches as they come to them: most seeds are large enough within a few cells. What one seed
// touches is marked with the seed's stamp.
#include "plan/growth.hpp"

#include "plan/cell_window.hpp"

#include <algorithm>
#include <queue>
#include <tuple>
#include <utility>

namespace fuelring::plan {

namespace {

constexpr std::int64_t furthest_cells = 64;
constexpr int level_shift = 20; ///< leaves exponent and three bits of the mantissa
constexpr int patch_bits = 5;   ///< a patch is 32 cells wide

class Grower {
public:
    Grower(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
           const Labelling& labelling, const std::vector<std::uint8_t>& kept)
        : grid_(grid), selection_(selection), labelling_(labelling), kept_(kept),
          rule_(grid, rules.gap_m), smallest_(rules.smallest()), ways_(rule_.limit_cm)
    {}

    /// The window around seeds. Stamps outlive it: they only ever rise.
    void load(const std::vector<std::uint32_t>& seeds)
    {
        within_ = {};
        for (const std::uint32_t seed : seeds) {
            const Component& c = labelling_.whole(seed);
            within_ = hull(within_, {c.best_col, c.best_row, 1, 1});
        }
        within_ = widened(within_, furthest_cells + rule_.reach_cells());
        window_ = {widened(within_, 1)};
        cols_ = static_cast<std::int32_t>(window_.rect.cols);
        patches_across_ = ((cols_ - 1) >> patch_bits) + 1;
        const auto rows = static_cast<std::int32_t>(window_.rect.rows);
        is_read_.assign(patches_across_ * (((rows - 1) >> patch_bits) + 1), 0);
        zone_.grow(window_.size());
        state_.grow(window_.size());
        number_.grow(window_.size());
        way_.grow(window_.size());
        way_stamp_.grow(window_.size());
        seen_stamp_.grow(window_.size());
    }

    Grown grow(const Component& seed)
    {
        ++stamp_;
        grown_ = {seed.best_key, seed.best_row, seed.best_col, seed.zone, false, {}, {}, {}, 0, 0};
        frontier_ = {};
        const std::int32_t first = window_.at(seed.best_row, seed.best_col);
        read_around(first);
        offer(first);
        while (!frontier_.empty()) {
            const Offer best = frontier_.top();
            frontier_.pop();
            if (!is_enough(grown_) || is_worth_it(best.at))
                take(best.at);
        }
        return std::move(grown_);
    }

    bool is_enough(const Grown& grown) const { return grown.joins || grown.conifer >= smallest_; }

private:
    enum State : std::uint8_t { open, closed, free_cell, kept_cell };
    struct Offer {
        std::uint32_t level;
        std::int64_t far2;
        std::int32_t at;
        bool operator<(const Offer& o) const // the top of the queue is the largest
        {
            return std::tuple{level, -far2, -at} < std::tuple{o.level, -o.far2, -o.at};
        }
    };

    /// The patches that hold the cell and its neighbours. Requires: a cell inside the frame.
    void read_around(std::int32_t at)
    {
        const std::int32_t row = at / cols_;
        const std::int32_t col = at - row * cols_;
        for (std::int32_t r = (row - 1) >> patch_bits; r <= (row + 1) >> patch_bits; ++r)
            for (std::int32_t c = (col - 1) >> patch_bits; c <= (col + 1) >> patch_bits; ++c)
                if (std::exchange(is_read_[r * patches_across_ + c], 1) == 0)
                    read_patch(r, c);
    }

    void read_patch(std::int32_t across_row, std::int32_t across_col)
    {
        constexpr std::int64_t side = 1 << patch_bits;
        const CellRect patch = intersection({window_.rect.col + across_col * side,
                                             window_.rect.row + across_row * side, side, side},
                                            window_.rect);
        for (std::int64_t row = patch.row; row < patch.row + patch.rows; ++row) {
            const std::int32_t from = window_.at(row, patch.col);
            const std::int32_t to = from + static_cast<std::int32_t>(patch.cols);
            zone_.fill(from, to, no_zone);
            state_.fill(from, to, open);
        }
        for_each_block(grid_, intersection(patch, within_),
                       [&](const Block& block, const CellRect& part) { read_part(block, part); });
    }

    void read_part(const Block& block, const CellRect& part)
    {
        window_.look_at(
            block, part,
            [&](std::int32_t from, std::int32_t to, ZoneId zone) { zone_.fill(from, to, zone); },
            [&](std::int32_t cell, std::size_t k) {
                state_[cell] = selection_.may_take(block, k) ? free_cell : closed;
                number_[cell] = static_cast<std::uint32_t>(k);
            });
        const CellRect of_block{part.col - block.rect.col, part.row - block.rect.row, part.cols,
                                part.rows};
        labelling_.runs(grid_.number_of(block), of_block,
                        [&](int row, int col, int cells, std::uint32_t run_of) {
                            const std::uint32_t root = labelling_.root(run_of);
                            if (!kept_[root])
                                return;
                            const std::int32_t from =
                                window_.at(block.rect.row + row, block.rect.col + col);
                            state_.fill(from, from + cells, kept_cell);
                            number_.fill(from, from + cells, root);
                        });
    }

    /// Mostly the one that was asked for last.
    const Block& block_of(std::int32_t at)
    {
        const std::int64_t row = window_.row_of(at);
        const std::int64_t col = window_.col_of(at);
        if (!last_block_ || last_block_->rect.row != row / block_cells * block_cells ||
            last_block_->rect.col != col / block_cells * block_cells)
            last_block_ = grid_.block_at(row, col);
        return *last_block_;
    }
    GrownCell cell_of(std::int32_t at)
    {
        const Block& block = block_of(at);
        return {static_cast<std::uint32_t>(grid_.number_of(block)), number_[at],
                static_cast<std::uint16_t>(window_.row_of(at) - block.rect.row),
                static_cast<std::uint16_t>(window_.col_of(at) - block.rect.col)};
    }
    Key key_of_cell(std::int32_t at) { return block_of(at).key[number_[at]]; }
    bool is_worth_it(std::int32_t at)
    {
        return selection_.price.accepts(key_of_cell(at), window_.row_of(at), window_.col_of(at));
    }

    /// A cell joins the frontier once a seed; one of a kept component ends the search for more.
    void offer(std::int32_t to)
    {
        if (std::exchange(seen_stamp_[to], stamp_) == stamp_)
            return;
        if (state_[to] != kept_cell)
            grown_.beside.push_back(cell_of(to));
        else if (grown_.beside_kept.empty() || grown_.beside_kept.back() != number_[to])
            grown_.beside_kept.push_back(number_[to]);
        const std::int64_t rows = window_.row_of(to) - grown_.seed_row;
        const std::int64_t cols = window_.col_of(to) - grown_.seed_col;
        if (std::max(std::abs(rows), std::abs(cols)) > furthest_cells)
            return;
        if (state_[to] == kept_cell)
            grown_.joins = true;
        else
            frontier_.push({key_of_cell(to) >> level_shift, rows * rows + cols * cols, to});
    }

    void take(std::int32_t cell)
    {
        const Block& block = block_of(cell);
        grown_.cells.push_back(cell_of(cell));
        grown_.conifer += block.conifer(number_[cell]);
        grown_.points += grid_.points(block, number_[cell], grown_.zone);
        step_on(cell, 0);
        ways_.drain([&](int way, std::int32_t at) {
            if (way_[at] == way)
                step_on(at, way);
        });
    }

    bool is_open(std::int32_t at) const { return state_[at] == open && zone_[at] == grown_.zone; }

    /// One step on from a cell: open ground lengthens the way, conifers are offered.
    void step_on(std::int32_t from, int way)
    {
        read_around(from);
        for (const Step& s : all_steps) { // the frame around the window belongs to no zone
            const std::int32_t to = window_.next(from, s);
            const int d = way + rule_.step_cm(s);
            if (zone_[to] != grown_.zone || state_[to] == closed || d > rule_.limit_cm)
                continue;
            if (s.is_aslant() && !is_open(window_.next(from, {s.row, 0})) && !is_open(from + s.col))
                continue;
            if (state_[to] != open) {
                offer(to);
            } else if (way_stamp_[to] != stamp_ || d < way_[to]) {
                way_stamp_[to] = stamp_;
                way_[to] = d;
                ways_.push(d, to);
            }
        }
    }

    const PlanGrid& grid_;
    const Selection& selection_;
    const Labelling& labelling_;
    const std::vector<std::uint8_t>& kept_;
    GapRule rule_;
    std::int64_t smallest_;
    CellRect within_;   ///< what seeds of the block can reach
    CellWindow window_; ///< the same with a frame of one cell
    std::int32_t cols_ = 0;
    std::int32_t patches_across_ = 0;
    Plane<std::uint8_t> is_read_; ///< by patch, row by row
    const Block* last_block_ = nullptr;
    std::uint32_t stamp_ = 0;
    Plane<ZoneId> zone_;
    Plane<State> state_;
    Plane<std::uint32_t> number_; ///< of a conifer cell, in its block; of a kept one, its root
    Plane<std::int32_t> way_;     ///< good where way_stamp_ is the seed's
    Plane<std::uint32_t> way_stamp_, seen_stamp_;
    WayQueue ways_;
    std::priority_queue<Offer> frontier_;
    Grown grown_;
};

/// Roots of components that are not kept, by the block of their best cell.
std::vector<std::vector<std::uint32_t>> seeds_of(const PlanGrid& grid, const Labelling& labelling,
                                                 const std::vector<std::uint8_t>& kept)
{
    std::vector<std::vector<std::uint32_t>> seeds(grid.blocks().size());
    for (std::uint32_t part = 0; part < labelling.parts(); ++part)
        if (labelling.is_root(part) && !kept[part]) {
            const Component& c = labelling.whole(part);
            seeds[grid.number_of(*grid.block_at(c.best_row, c.best_col))].push_back(part);
        }
    return seeds;
}

} // namespace

std::vector<Grown> grow_from_seeds(const PlanGrid& grid, const Selection& selection,
                                   const UnitRules& rules, const Labelling& labelling,
                                   const std::vector<std::uint8_t>& kept, const ShareOut& share_out)
{
    const auto seeds = seeds_of(grid, labelling, kept);
    std::vector<std::vector<Grown>> by_block(seeds.size());
    share_out(seeds.size(), [&](const std::function<std::size_t()>& next) {
        Grower grower{grid, selection, rules, labelling, kept};
        for (std::size_t b = next(); b < seeds.size(); b = next()) {
            if (seeds[b].empty())
                continue;
            grower.load(seeds[b]);
            for (const std::uint32_t seed : seeds[b]) {
                Grown grown = grower.grow(labelling.whole(seed));
                if (grower.is_enough(grown))
                    by_block[b].push_back(std::move(grown));
            }
        }
    });
    std::vector<Grown> all;
    for (std::vector<Grown>& grown : by_block)
        std::move(grown.begin(), grown.end(), std::back_inserter(all));
    std::sort(all.begin(), all.end(), [](const Grown& a, const Grown& b) {
        return std::tuple{~a.seed_key, a.seed_row, a.seed_col} <
               std::tuple{~b.seed_key, b.seed_row, b.seed_col};
    });
    return all;
}

} // namespace fuelring::plan
