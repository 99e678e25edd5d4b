// SPDX-License-Identifier: Apache-2.0

// Bridges of one unit, in a window around it. Patches are cells that share edges. Ways start from
// all patches at once over open ground; where two meet, their ways together are a possible bridge;
// the shortest that join two patches not joined yet are built.
#include "plan/bridges.hpp"

#include "base/disjoint_sets.hpp"
#include "plan/component_search.hpp"

#include <algorithm>
#include <stdexcept>
#include <tuple>

namespace fuelring::plan {

namespace {

class BridgeBuilder {
public:
    BridgeBuilder(const PlanGrid& grid, const Unit& unit, double gap_m)
        : unit_(unit), rule_(grid, gap_m), buckets_(static_cast<std::size_t>(rule_.limit_cm) + 1)
    {
        for (const CellRun& run : unit.treated)
            rect_ = hull(rect_, {run.col, run.row, run.cols, 1});
        const std::int64_t margin = rule_.reach_cells();
        rect_ = {rect_.col - margin, rect_.row - margin, rect_.cols + 2 * margin,
                 rect_.rows + 2 * margin};
        load(grid);
        close_beyond_limits();
    }

    std::vector<CellRun> build()
    {
        const std::size_t patches = number_patches();
        if (patches < 2)
            return {};
        std::size_t joined = 1;
        for (const Meeting& m : find_meetings())
            if (patches_.unite(label_[static_cast<std::size_t>(m.a)],
                               label_[static_cast<std::size_t>(m.b)])) {
                ++joined;
                walk_back(m.a);
                walk_back(m.b);
                add_flank(m.a, m.b);
            }
        if (joined != patches)
            throw std::logic_error{"a unit is not joined by its gaps"};
        return runs_of_bridges();
    }

    std::vector<Unit> split()
    {
        if (number_patches() < 2)
            return {unit_};
        for (const Meeting& m : find_meetings())
            patches_.unite(label_[static_cast<std::size_t>(m.a)],
                           label_[static_cast<std::size_t>(m.b)]);
        std::vector<Unit> parts;
        std::vector<std::size_t> part_of(patches_.size(), SIZE_MAX);
        for (const CellRun& run : unit_.treated) {
            const auto root = static_cast<std::size_t>(
                patches_.find(label_[static_cast<std::size_t>(at(run.row, run.col))]));
            if (part_of[root] == SIZE_MAX) {
                part_of[root] = parts.size();
                parts.emplace_back();
                parts.back().zone = unit_.zone;
                parts.back().bridge_limits = unit_.bridge_limits;
            }
            parts[part_of[root]].treated.push_back(run);
        }
        return parts;
    }

private:
    enum State : std::uint8_t { closed, open, treated, bridge };
    struct Meeting {
        int way;
        std::int32_t a;
        std::int32_t b;
        bool operator<(const Meeting& o) const
        {
            return std::tuple{way, a, b} < std::tuple{o.way, o.a, o.b};
        }
    };
    static constexpr std::int32_t nobody = -1;

    std::int32_t at(std::int64_t row, std::int64_t col) const
    {
        return static_cast<std::int32_t>((row - rect_.row) * rect_.cols + (col - rect_.col));
    }
    State& state(std::int32_t at) { return state_[static_cast<std::size_t>(at)]; }

    void load(const PlanGrid& grid)
    {
        const auto n = static_cast<std::size_t>(rect_.rows * rect_.cols);
        state_.assign(n, closed);
        label_.assign(n, nobody);
        way_.assign(n, INT32_MAX);
        from_.assign(n, nobody);
        for_each_block(grid, rect_, [&](const Block& block, const CellRect& part) {
            const int first = static_cast<int>(part.col - block.rect.col);
            const int last = first + static_cast<int>(part.cols);
            for (std::int64_t row = part.row; row < part.row + part.rows; ++row) {
                const std::int32_t begin = at(row, block.rect.col);
                const int r = static_cast<int>(row - block.rect.row);
                block.zones(r, first, last, [&](int a, int b, ZoneId zone) {
                    if (zone == unit_.zone)
                        std::fill(state_.begin() + begin + a, state_.begin() + begin + b, open);
                });
                block.conifers(r, first, last,
                               [&](int col, std::size_t) { state(begin + col) = closed; });
            }
        });
        for (const CellRun& run : unit_.treated)
            for (std::int64_t col = run.col; col < run.col + run.cols; ++col)
                state(at(run.row, col)) = treated;
    }

    void close_beyond_limits()
    {
        if (unit_.bridge_limits.empty())
            return;
        std::vector<std::uint8_t> within(state_.size());
        for (const CellRect& limit : unit_.bridge_limits) {
            const CellRect part = intersection(limit, rect_);
            for (std::int64_t row = part.row; row < part.row + part.rows; ++row)
                std::fill_n(within.begin() + at(row, part.col), part.cols, std::uint8_t{1});
        }
        for (std::size_t k = 0; k < state_.size(); ++k)
            if (state_[k] == open && within[k] == 0)
                state_[k] = closed;
    }

    std::size_t number_patches()
    {
        std::size_t count = 0;
        std::vector<std::int32_t> stack;
        for (const CellRun& run : unit_.treated) {
            if (label_[static_cast<std::size_t>(at(run.row, run.col))] != nobody)
                continue;
            label_[static_cast<std::size_t>(at(run.row, run.col))] =
                static_cast<std::int32_t>(count);
            stack.push_back(at(run.row, run.col));
            while (!stack.empty()) {
                const std::int32_t cell = stack.back();
                stack.pop_back();
                for (std::size_t s = 0; s < 4; ++s) { // the margin keeps them inside
                    const std::int32_t to = next(cell, all_steps[s]);
                    if (state(to) != treated || label_[static_cast<std::size_t>(to)] != nobody)
                        continue;
                    label_[static_cast<std::size_t>(to)] = static_cast<std::int32_t>(count);
                    stack.push_back(to);
                }
            }
            ++count;
        }
        patches_ = DisjointSets<std::int32_t>{count};
        return count;
    }

    std::int32_t next(std::int32_t cell, const Step& s) const
    {
        return cell + s.row * static_cast<std::int32_t>(rect_.cols) + s.col;
    }
    bool inside(std::int32_t cell, const Step& s) const
    {
        const std::int64_t row = cell / rect_.cols + s.row;
        const std::int64_t col = cell % rect_.cols + s.col;
        return row >= 0 && col >= 0 && row < rect_.rows && col < rect_.cols;
    }
    bool may_step(std::int32_t cell, const Step& s)
    {
        if (!inside(cell, s) || state(next(cell, s)) == closed)
            return false;
        return s.row == 0 || s.col == 0 || state(next(cell, {s.row, 0})) == open ||
               state(next(cell, {0, s.col})) == open;
    }

    void spread()
    {
        for (const CellRun& run : unit_.treated)
            for (std::int64_t col = run.col; col < run.col + run.cols; ++col) {
                way_[static_cast<std::size_t>(at(run.row, col))] = 0;
                buckets_[0].push_back(at(run.row, col));
            }
        for (std::size_t d = 0; d < buckets_.size(); ++d)
            for (std::size_t k = 0; k < buckets_[d].size(); ++k)
                if (way_[static_cast<std::size_t>(buckets_[d][k])] == static_cast<int>(d))
                    reach(buckets_[d][k]);
    }
    void reach(std::int32_t cell)
    {
        for (const Step& s : all_steps) {
            if (!may_step(cell, s))
                continue;
            const std::int32_t to = next(cell, s);
            const int way = way_[static_cast<std::size_t>(cell)] + rule_.step_cm(s.row, s.col);
            if (way > rule_.limit_cm || way >= way_[static_cast<std::size_t>(to)])
                continue;
            way_[static_cast<std::size_t>(to)] = way;
            label_[static_cast<std::size_t>(to)] = label_[static_cast<std::size_t>(cell)];
            from_[static_cast<std::size_t>(to)] = cell;
            buckets_[static_cast<std::size_t>(way)].push_back(to);
        }
    }

    /// Shortest first.
    std::vector<Meeting> find_meetings()
    {
        spread();
        std::vector<Meeting> meetings;
        for (std::int32_t cell = 0; cell < static_cast<std::int32_t>(label_.size()); ++cell) {
            if (label_[static_cast<std::size_t>(cell)] == nobody)
                continue;
            for (const Step& s : all_steps) {
                if (!may_step(cell, s))
                    continue;
                const std::int32_t to = next(cell, s);
                const std::int32_t other = label_[static_cast<std::size_t>(to)];
                if (to < cell || other == nobody || other == label_[static_cast<std::size_t>(cell)])
                    continue;
                const int way = way_[static_cast<std::size_t>(cell)] +
                                way_[static_cast<std::size_t>(to)] + rule_.step_cm(s.row, s.col);
                if (way <= rule_.limit_cm)
                    meetings.push_back({way, cell, to});
            }
        }
        std::sort(meetings.begin(), meetings.end());
        return meetings;
    }

    void walk_back(std::int32_t cell)
    {
        for (; state(cell) != treated; cell = from_[static_cast<std::size_t>(cell)]) {
            state(cell) = bridge;
            add_flank(cell, from_[static_cast<std::size_t>(cell)]);
        }
    }
    /// A step aslant takes one of the two cells beside it along.
    void add_flank(std::int32_t a, std::int32_t b)
    {
        const auto cols = static_cast<std::int32_t>(rect_.cols);
        const std::int32_t row_a = a / cols;
        const std::int32_t row_b = b / cols;
        if (row_a == row_b || a % cols == b % cols)
            return;
        const std::int32_t one =
            std::min(row_a, row_b) * cols + (row_a < row_b ? b % cols : a % cols);
        const std::int32_t two =
            std::max(row_a, row_b) * cols + (row_a < row_b ? a % cols : b % cols);
        if (state(one) > open || state(two) > open)
            return; // one is the unit's already
        state(state(one) == open ? one : two) = bridge;
    }

    std::vector<CellRun> runs_of_bridges() const
    {
        std::vector<CellRun> runs;
        for (std::size_t k = 0; k < state_.size(); ++k) {
            if (state_[k] != bridge)
                continue;
            const std::int64_t row = rect_.row + static_cast<std::int64_t>(k) / rect_.cols;
            const std::int64_t col = rect_.col + static_cast<std::int64_t>(k) % rect_.cols;
            if (!runs.empty() && runs.back().row == row &&
                runs.back().col + runs.back().cols == col)
                ++runs.back().cols;
            else
                runs.push_back({row, col, 1});
        }
        return runs;
    }

    const Unit& unit_;
    GapRule rule_;
    CellRect rect_;
    std::vector<State> state_;
    std::vector<std::int32_t> label_, way_, from_;
    DisjointSets<std::int32_t> patches_;
    std::vector<std::vector<std::int32_t>> buckets_;
};

} // namespace

std::vector<Unit> split_by_gaps(const PlanGrid& grid, const Unit& unit, double gap_m)
{
    return BridgeBuilder{grid, unit, gap_m}.split();
}

std::vector<CellRun> bridges_of(const PlanGrid& grid, const Unit& unit, double gap_m)
{
    return BridgeBuilder{grid, unit, gap_m}.build();
}

} // namespace fuelring::plan
