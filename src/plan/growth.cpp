// SPDX-License-Identifier: Apache-2.0

// Growing small components, block by block: a window around a block holds all that its seeds can
// reach. Planes are cleared once a window; what one seed touches is marked with the seed's stamp.
#include "plan/growth.hpp"

#include "plan/component_search.hpp"

#include <algorithm>
#include <queue>
#include <tuple>

namespace fuelring::plan {

namespace {

constexpr std::int64_t furthest_cells = 64;
constexpr int level_shift = 20; ///< leaves exponent and three bits of the mantissa

class Grower {
public:
    Grower(const PlanGrid& grid, const Selection& selection, const UnitRules& rules,
           const Labelling& labelling, const std::vector<std::uint8_t>& kept)
        : grid_(grid), selection_(selection), labelling_(labelling), kept_(kept),
          rule_(grid, rules.gap_m), smallest_(rules.smallest()),
          buckets_(static_cast<std::size_t>(rule_.limit_cm) + 1)
    {}

    /// The window around seeds. Stamps outlive it: they only ever rise.
    void load(const Labelling& labelling, const std::vector<std::uint32_t>& seeds)
    {
        CellRect all;
        for (const std::uint32_t seed : seeds) {
            const Component& c = labelling.whole(seed);
            all = hull(all, {c.best_col, c.best_row, 1, 1});
        }
        const std::int64_t margin = furthest_cells + rule_.reach_cells();
        rect_ = {all.col - margin, all.row - margin, all.cols + 2 * margin, all.rows + 2 * margin};
        const auto n = static_cast<std::size_t>(rect_.rows * rect_.cols);
        zone_.assign(n, no_zone);
        state_.assign(n, open);
        if (number_.size() < n) {
            number_.resize(n);
            way_.resize(n);
            way_stamp_.resize(n);
            seen_stamp_.resize(n);
        }
        for_each_block(grid_, rect_,
                       [&](const Block& block, const CellRect& part) { load_part(block, part); });
    }

    Grown grow(const Component& seed)
    {
        ++stamp_;
        grown_ = {seed.best_key, seed.best_row, seed.best_col, seed.zone, false, {}, 0, 0};
        frontier_ = {};
        offer(at(seed.best_row, seed.best_col));
        while (!frontier_.empty()) {
            const Offer best = frontier_.top();
            frontier_.pop();
            if (is_enough() && !is_worth_it(best.at))
                continue;
            take(best.at);
        }
        return std::move(grown_);
    }

    bool is_enough() const { return grown_.joins || grown_.conifer >= smallest_; }

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

    std::int32_t at(std::int64_t row, std::int64_t col) const
    {
        return static_cast<std::int32_t>((row - rect_.row) * rect_.cols + (col - rect_.col));
    }
    std::int64_t row_of(std::int32_t at) const { return rect_.row + at / rect_.cols; }
    std::int64_t col_of(std::int32_t at) const { return rect_.col + at % rect_.cols; }

    void load_part(const Block& block, const CellRect& part)
    {
        const int from = static_cast<int>(part.col - block.rect.col);
        const int to = from + static_cast<int>(part.cols);
        for (std::int64_t row = part.row; row < part.row + part.rows; ++row) {
            const std::int32_t begin = at(row, block.rect.col);
            const int r = static_cast<int>(row - block.rect.row);
            block.zones(r, from, to, [&](int a, int b, ZoneId zone) {
                std::fill(zone_.begin() + begin + a, zone_.begin() + begin + b, zone);
            });
            block.conifers(r, from, to, [&](int col, std::size_t k) {
                const auto i = static_cast<std::size_t>(begin + col);
                state_[i] = selection_.may_take(block, k) ? free_cell : closed;
                number_[i] = static_cast<std::uint32_t>(k);
            });
        }
        labelling_.runs(
            grid_.number_of(block), [&](int r, int col, int cells, std::uint32_t part_) {
                const std::int64_t row = block.rect.row + r;
                if (row < part.row || row >= part.row + part.rows || !kept_[labelling_.root(part_)])
                    return;
                const int a = std::max(col, from);
                const int b = std::min(col + cells, to);
                if (a < b)
                    std::fill(state_.begin() + at(row, block.rect.col) + a,
                              state_.begin() + at(row, block.rect.col) + b, kept_cell);
            });
    }

    const Block& block_of(std::int32_t at) const { return *grid_.block_at(row_of(at), col_of(at)); }
    Key key_of_cell(std::int32_t at) const
    {
        return block_of(at).key[number_[static_cast<std::size_t>(at)]];
    }
    bool is_worth_it(std::int32_t at) const
    {
        return selection_.price.accepts(key_of_cell(at), row_of(at), col_of(at));
    }

    void offer(std::int32_t to)
    {
        std::uint32_t& seen = seen_stamp_[static_cast<std::size_t>(to)];
        if (seen == stamp_)
            return;
        seen = stamp_;
        const std::int64_t rows = row_of(to) - grown_.seed_row;
        const std::int64_t cols = col_of(to) - grown_.seed_col;
        if (std::max(std::abs(rows), std::abs(cols)) > furthest_cells)
            return;
        if (state_[static_cast<std::size_t>(to)] == kept_cell) {
            grown_.joins = true;
            return;
        }
        frontier_.push({key_of_cell(to) >> level_shift, rows * rows + cols * cols, to});
    }

    void take(std::int32_t cell)
    {
        const Block& block = block_of(cell);
        const std::uint32_t k = number_[static_cast<std::size_t>(cell)];
        grown_.cells.emplace_back(static_cast<std::uint32_t>(grid_.number_of(block)), k);
        grown_.conifer += block.conifer(k);
        grown_.points += grid_.points(block, k, grown_.zone);
        reach(cell, 0);
        for (std::size_t d = 1; d < buckets_.size(); ++d) {
            for (std::size_t i = 0; i < buckets_[d].size(); ++i)
                if (way_[static_cast<std::size_t>(buckets_[d][i])] == d)
                    reach(buckets_[d][i], static_cast<int>(d));
            buckets_[d].clear();
        }
    }

    bool is_open(std::int32_t at) const
    {
        return state_[static_cast<std::size_t>(at)] == open &&
               zone_[static_cast<std::size_t>(at)] == grown_.zone;
    }

    /// One step on from a cell: open ground lengthens the way, conifers are offered.
    void reach(std::int32_t from, int way)
    {
        const std::int64_t row = from / rect_.cols;
        const std::int64_t col = from % rect_.cols;
        const auto cols = static_cast<std::int32_t>(rect_.cols);
        for (const Step& s : all_steps) {
            if (row + s.row < 0 || col + s.col < 0 || row + s.row >= rect_.rows ||
                col + s.col >= rect_.cols)
                continue;
            const std::int32_t to = from + s.row * cols + s.col;
            const int d = way + rule_.step_cm(s.row, s.col);
            const auto i = static_cast<std::size_t>(to);
            if (zone_[i] != grown_.zone || state_[i] == closed || d > rule_.limit_cm)
                continue;
            if (s.row != 0 && s.col != 0 && !is_open(from + s.row * cols) && !is_open(from + s.col))
                continue;
            if (state_[i] != open) {
                offer(to);
            } else if (way_stamp_[i] != stamp_ || d < static_cast<int>(way_[i])) {
                way_stamp_[i] = stamp_;
                way_[i] = static_cast<std::uint32_t>(d);
                buckets_[static_cast<std::size_t>(d)].push_back(to);
            }
        }
    }

    const PlanGrid& grid_;
    const Selection& selection_;
    const Labelling& labelling_;
    const std::vector<std::uint8_t>& kept_;
    GapRule rule_;
    std::int64_t smallest_;
    CellRect rect_;
    std::uint32_t stamp_ = 0;
    std::vector<ZoneId> zone_;
    std::vector<State> state_;
    std::vector<std::uint32_t> number_, way_, way_stamp_, seen_stamp_;
    std::vector<std::vector<std::int32_t>> buckets_;
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
            grower.load(labelling, seeds[b]);
            for (const std::uint32_t seed : seeds[b]) {
                Grown grown = grower.grow(labelling.whole(seed));
                if (grown.joins || grown.conifer >= rules.smallest())
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
