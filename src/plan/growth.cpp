// SPDX-License-Identifier: Apache-2.0

// Growing small components as Prim's algorithm grows a tree: the frontier holds what can be had
// next, the best of it is taken, and its neighbours over gaps join the frontier. Keys are compared
// by levels of an eighth of a doubling, so that a cell next door goes before one that is hardly
// better far away: a unit should be a place, not a thread. Each seed grows as if it were alone and
// no further than 64 cells, so blocks can be done side by side; who meets whom is settled later, in
// the order of seeds (price_plan.cpp). Nothing proves the result best: it is a heuristic for a
// knapsack of connected items, and `bounds` tells how much it may have missed.
//
// Block by block: a window around a block holds all that its seeds can reach. Planes are cleared
// once a window; what one seed touches is marked with the seed's stamp.
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
        CellRect all;
        for (const std::uint32_t seed : seeds) {
            const Component& c = labelling_.whole(seed);
            all = hull(all, {c.best_col, c.best_row, 1, 1});
        }
        all = widened(all, furthest_cells + rule_.reach_cells());
        window_ = {widened(all, 1)};
        zone_.assign(window_.size(), no_zone);
        state_.assign(window_.size(), open);
        number_.grow(window_.size());
        way_.grow(window_.size());
        way_stamp_.grow(window_.size());
        seen_stamp_.grow(window_.size());
        for_each_block(grid_, all,
                       [&](const Block& block, const CellRect& part) { load_part(block, part); });
    }

    Grown grow(const Component& seed)
    {
        ++stamp_;
        grown_ = {seed.best_key, seed.best_row, seed.best_col, seed.zone, false, {}, {}, {}, 0, 0};
        frontier_ = {};
        offer(window_.at(seed.best_row, seed.best_col));
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

    void load_part(const Block& block, const CellRect& part)
    {
        window_.look_at(
            block, part,
            [&](std::int32_t from, std::int32_t to, ZoneId zone) { zone_.fill(from, to, zone); },
            [&](std::int32_t cell, std::size_t k) {
                state_[cell] = selection_.may_take(block, k) ? free_cell : closed;
                number_[cell] = static_cast<std::uint32_t>(k);
            });
        labelling_.runs(grid_.number_of(block), [&](int r, int c, int cells, std::uint32_t run_of) {
            const std::uint32_t root = labelling_.root(run_of);
            if (!kept_[root])
                return;
            const CellRect run =
                intersection({block.rect.col + c, block.rect.row + r, cells, 1}, part);
            if (run.empty())
                return;
            const std::int32_t from = window_.at(run.row, run.col);
            state_.fill(from, from + static_cast<std::int32_t>(run.cols), kept_cell);
            number_.fill(from, from + static_cast<std::int32_t>(run.cols), root);
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
    GrownCell numbers_of(std::int32_t at)
    {
        return {static_cast<std::uint32_t>(grid_.number_of(block_of(at))), number_[at]};
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
            grown_.beside.push_back(numbers_of(to));
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
        grown_.cells.push_back(numbers_of(cell));
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
    CellWindow window_; ///< with a frame of one cell
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
