// SPDX-License-Identifier: Apache-2.0

// Bridges of one unit, in a window around it. Patches are cells that share edges. Ways start from
// all patches at once over open ground; where two meet, their ways together are a possible bridge;
// the shortest that join two patches not joined yet are built.
//
// Meetings of territories suffice for a minimum spanning tree of all patches by way length: of a
// way that leads through the territory of a third patch, both parts are no longer than it is
// (Mehlhorn, A faster approximation algorithm for the Steiner problem in graphs, Information
// Processing Letters 27, 1988).
#include "base/disjoint_sets.hpp"
#include "plan/cell_window.hpp"
#include "plan/units.hpp"

#include <algorithm>
#include <stdexcept>
#include <tuple>

namespace fuelring::plan {

namespace {

class BridgeBuilder {
public:
    BridgeBuilder(const PlanGrid& grid, const Unit& unit, double gap_m)
        : unit_(unit), rule_(grid, gap_m),
          around_(widened(box_of(unit.treated), rule_.reach_cells())), window_{widened(around_, 1)},
          ways_(rule_.limit_cm)
    {
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
            if (patches_.unite(label_[m.a], label_[m.b])) {
                ++joined;
                walk_back(m.a);
                walk_back(m.b);
                add_flank(m.a, m.b);
            }
        if (joined != patches)
            throw std::logic_error{"a unit is not joined by its gaps"};
        std::vector<CellRun> runs;
        for (std::int32_t cell = 0; cell < window_.size(); ++cell)
            if (state_[cell] == bridge)
                append(runs, {window_.row_of(cell), window_.col_of(cell), 1});
        return runs;
    }

    std::vector<Unit> split()
    {
        if (number_patches() < 2)
            return {unit_};
        for (const Meeting& m : find_meetings())
            patches_.unite(label_[m.a], label_[m.b]);
        std::vector<Unit> parts;
        std::vector<std::size_t> part_of(patches_.size(), SIZE_MAX);
        for (const CellRun& run : unit_.treated) {
            const std::int32_t patch = label_[window_.at(run.row, run.col)];
            std::size_t& part = part_of[static_cast<std::size_t>(patches_.find(patch))];
            if (part == SIZE_MAX) {
                part = parts.size();
                parts.push_back({.zone = unit_.zone,
                                 .treated = {},
                                 .bridges = {},
                                 .bridge_limits = unit_.bridge_limits});
            }
            parts[part].treated.push_back(run);
        }
        return parts;
    }

private:
    enum State : std::uint8_t { closed, open, treated, bridge };
    /// A step on which the ways of two patches meet.
    struct Meeting {
        int way; ///< of both together
        std::int32_t a;
        std::int32_t b;
        bool operator<(const Meeting& o) const
        {
            return std::tuple{way, a, b} < std::tuple{o.way, o.a, o.b};
        }
    };
    static constexpr std::int32_t nobody = -1;

    void load(const PlanGrid& grid)
    {
        state_.assign(window_.size(), closed);
        label_.assign(window_.size(), nobody);
        way_.assign(window_.size(), INT32_MAX);
        from_.assign(window_.size(), nobody);
        for_each_block(grid, around_, [&](const Block& block, const CellRect& part) {
            window_.look_at(
                block, part,
                [&](std::int32_t from, std::int32_t to, ZoneId zone) {
                    state_.fill(from, to, zone == unit_.zone ? open : closed);
                },
                [&](std::int32_t cell, std::size_t) { state_[cell] = closed; });
        });
        for_each_treated([&](std::int32_t cell) { state_[cell] = treated; });
    }

    template <typename Visit>
    void for_each_treated(Visit&& visit) const
    {
        for (const CellRun& run : unit_.treated)
            for (std::int64_t col = run.col; col < run.end(); ++col)
                visit(window_.at(run.row, col));
    }

    void close_beyond_limits()
    {
        if (unit_.bridge_limits.empty())
            return;
        Plane<std::uint8_t> within;
        within.assign(window_.size(), 0);
        for (const CellRect& limit : unit_.bridge_limits) {
            const CellRect part = intersection(limit, around_);
            for (std::int64_t row = part.row; row < part.row + part.rows; ++row)
                within.fill(window_.at(row, part.col), window_.at(row, part.col + part.cols), 1);
        }
        for (std::int32_t cell = 0; cell < window_.size(); ++cell)
            if (state_[cell] == open && within[cell] == 0)
                state_[cell] = closed;
    }

    std::size_t number_patches()
    {
        std::int32_t count = 0;
        std::vector<std::int32_t> stack;
        const auto take_in = [&](std::int32_t cell) {
            if (state_[cell] != treated || label_[cell] != nobody)
                return false;
            label_[cell] = count;
            stack.push_back(cell);
            return true;
        };
        for (const CellRun& run : unit_.treated) {
            if (!take_in(window_.at(run.row, run.col)))
                continue;
            while (!stack.empty()) {
                const std::int32_t cell = stack.back();
                stack.pop_back();
                for (std::size_t s = 0; s < 4; ++s)
                    take_in(window_.next(cell, all_steps[s]));
            }
            ++count;
        }
        patches_ = DisjointSets<std::int32_t>{static_cast<std::size_t>(count)};
        return patches_.size();
    }

    /// The frame around the window is closed.
    bool may_step(std::int32_t cell, const Step& s) const
    {
        return state_[window_.next(cell, s)] != closed &&
               (!s.is_aslant() || state_[window_.next(cell, {s.row, 0})] == open ||
                state_[cell + s.col] == open);
    }

    void spread()
    {
        for_each_treated([&](std::int32_t cell) {
            way_[cell] = 0;
            if (std::any_of(all_steps.begin(), all_steps.end(),
                            [&](const Step& s) { return state_[window_.next(cell, s)] == open; }))
                ways_.push(0, cell); // others lead nowhere
        });
        ways_.drain([&](int way, std::int32_t cell) {
            if (way_[cell] != way)
                return;
            for (const Step& s : all_steps) {
                const std::int32_t to = window_.next(cell, s);
                const int d = way + rule_.step_cm(s);
                if (!may_step(cell, s) || d > rule_.limit_cm || d >= way_[to])
                    continue;
                way_[to] = d;
                label_[to] = label_[cell];
                from_[to] = cell;
                ways_.push(d, to);
            }
        });
    }

    /// Shortest first.
    std::vector<Meeting> find_meetings()
    {
        spread();
        std::vector<Meeting> meetings;
        for (std::int32_t cell = 0; cell < window_.size(); ++cell) {
            if (label_[cell] == nobody)
                continue;
            for (const Step& s : all_steps) {
                const std::int32_t to = window_.next(cell, s);
                if (to < cell || label_[to] == nobody || label_[to] == label_[cell] ||
                    !may_step(cell, s))
                    continue;
                const int way = way_[cell] + way_[to] + rule_.step_cm(s);
                if (way <= rule_.limit_cm)
                    meetings.push_back({way, cell, to});
            }
        }
        std::sort(meetings.begin(), meetings.end());
        return meetings;
    }

    void walk_back(std::int32_t cell)
    {
        for (; state_[cell] != treated; cell = from_[cell]) {
            state_[cell] = bridge;
            add_flank(cell, from_[cell]);
        }
    }
    /// A step aslant takes one of the two cells beside it along: the upper one if it is open.
    void add_flank(std::int32_t a, std::int32_t b)
    {
        const auto [above, below] = std::minmax(a, b);
        const auto cols = static_cast<std::int32_t>(window_.rect.cols);
        const std::int32_t over = below % cols - above % cols; // columns to the right
        if (below - above == cols || over == below - above)
            return; // a step over an edge
        const std::int32_t one = above + over;
        const std::int32_t two = below - over;
        if (state_[one] > open || state_[two] > open)
            return; // one is the unit's already
        state_[state_[one] == open ? one : two] = bridge;
    }

    const Unit& unit_;
    GapRule rule_;
    CellRect around_;   ///< all cells of the unit and of its ways
    CellWindow window_; ///< with a frame of one closed cell
    Plane<State> state_;
    Plane<std::int32_t> label_; ///< the patch that a cell, or the way to it, belongs to
    Plane<std::int32_t> way_;   ///< from that patch, centimetres
    Plane<std::int32_t> from_;  ///< the cell before on that way
    DisjointSets<std::int32_t> patches_;
    WayQueue ways_;
};

} // namespace

std::vector<Unit> split_by_gaps(const PlanGrid& grid, const Unit& unit, double gap_m)
{
    if (is_one_patch(unit.treated))
        return {unit};
    return BridgeBuilder{grid, unit, gap_m}.split();
}

std::vector<CellRun> bridges_of(const PlanGrid& grid, const Unit& unit, double gap_m)
{
    if (is_one_patch(unit.treated))
        return {};
    return BridgeBuilder{grid, unit, gap_m}.build();
}

} // namespace fuelring::plan
