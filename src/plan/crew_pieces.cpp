// SPDX-License-Identifier: Apache-2.0

// Pieces of a unit: squares of a lattice that the whole grid shares, then united over their edges.
// Small pieces first, each to its smallest neighbour: greedy, as for bins that are to be filled
// evenly. Cutting at a lattice keeps pieces compact; uniting over edges mends what the lattice cut
// for no reason.
#include "plan/crew_pieces.hpp"

#include "plan/cell_window.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

namespace fuelring::plan {

namespace {

constexpr std::int64_t longest_in_sides = 4;

/// Whole cells in a length, one at least.
std::int64_t cells_in(double length_m, double cell_m)
{
    return std::max<std::int64_t>(1, static_cast<std::int64_t>(length_m / cell_m));
}

std::int64_t cells_of(const Unit& unit)
{
    std::int64_t cells = 0;
    for (const CellRun& run : unit.treated)
        cells += run.cols;
    return cells;
}

/// The unit's runs, cut at a lattice of squares and sorted into them.
std::map<std::pair<std::int64_t, std::int64_t>, Unit>
squares_of(const Unit& unit, std::int64_t rows, std::int64_t cols)
{
    std::map<std::pair<std::int64_t, std::int64_t>, Unit> squares;
    for (const CellRun& run : unit.treated)
        for (std::int64_t col = run.col; col < run.end();) {
            const std::int64_t r = run.row / rows;
            const std::int64_t c = col / cols;
            const std::int64_t end = std::min((c + 1) * cols, run.end());
            Unit& square = squares[{r, c}];
            square.zone = unit.zone;
            square.bridge_limits = {{c * cols, r * rows, cols, rows}};
            square.treated.push_back({run.row, col, end - col});
            col = end;
        }
    return squares;
}

/// Sums over the treated cells, from the grid.
void sum_up(const PlanGrid& grid, Unit& unit)
{
    unit.conifer = unit.points = 0;
    for_each_conifer(grid, unit.treated, [&](const Block& block, std::size_t k) {
        unit.conifer += block.conifer(k);
        unit.points += grid.points(block, k, unit.zone);
    });
    unit.cell_area = cell_area_of(grid, unit.treated);
}

/// Runs in order; sums add up, since pieces share no cell.
Unit united(const Unit& a, const Unit& b)
{
    Unit both = a;
    both.treated.insert(both.treated.end(), b.treated.begin(), b.treated.end());
    put_in_order(both.treated);
    both.bridge_limits.insert(both.bridge_limits.end(), b.bridge_limits.begin(),
                              b.bridge_limits.end());
    both.conifer += b.conifer;
    both.points += b.points;
    both.cell_area += b.cell_area;
    return both;
}

/// For each piece those with which it shares an edge of a cell.
std::vector<std::set<std::size_t>> edge_neighbours(const std::vector<Unit>& pieces)
{
    struct Stretch {
        CellRun run;
        std::size_t piece;
    };
    std::vector<Stretch> all;
    for (std::size_t k = 0; k < pieces.size(); ++k)
        for (const CellRun& run : pieces[k].treated)
            all.push_back({run, k});
    std::sort(all.begin(), all.end(), [](const Stretch& a, const Stretch& b) {
        return std::tie(a.run.row, a.run.col) < std::tie(b.run.row, b.run.col);
    });
    std::vector<std::set<std::size_t>> neighbours(pieces.size());
    const auto link = [&](const Stretch& a, const Stretch& b) {
        if (a.piece == b.piece)
            return;
        neighbours[a.piece].insert(b.piece);
        neighbours[b.piece].insert(a.piece);
    };
    std::size_t above = 0; // the first of the row above that may reach down to run k
    for (std::size_t k = 0; k < all.size(); ++k) {
        const CellRun& run = all[k].run;
        if (k > 0 && all[k - 1].run.ends_at(run))
            link(all[k - 1], all[k]);
        while (all[above].run.row < run.row - 1 ||
               (all[above].run.row == run.row - 1 && all[above].run.end() <= run.col))
            ++above;
        for (std::size_t a = above; all[a].run.row == run.row - 1 && all[a].run.col < run.end();
             ++a)
            link(all[a], all[k]);
    }
    return neighbours;
}

} // namespace

/// Unites the pieces of one unit.
class CrewPieces::Merger {
public:
    Merger(const CrewPieces& crew, std::vector<Unit> pieces)
        : crew_(crew), pieces_(std::move(pieces)), neighbours_(edge_neighbours(pieces_))
    {
        for (const Unit& piece : pieces_)
            boxes_.push_back(box_of(piece.treated));
    }

    /// The smallest piece that can is united with its smallest neighbour, until none can.
    void unite_over_edges()
    {
        std::set<std::pair<std::int64_t, std::size_t>> waiting;
        for (std::size_t k = 0; k < pieces_.size(); ++k)
            waiting.insert({pieces_[k].conifer, k});
        while (!waiting.empty()) {
            const std::size_t small = waiting.begin()->second;
            waiting.erase(waiting.begin());
            // What has no neighbour with room now gets none later: neighbours only grow.
            const std::size_t other = best_of(neighbours_[small], small);
            if (other == none)
                continue;
            waiting.erase({pieces_[other].conifer, other});
            unite(small, other);
            waiting.insert({pieces_[other].conifer, other});
        }
    }

    /// Those below the smallest size go to a neighbour over a gap, where one has room.
    void unite_over_gaps()
    {
        for (std::size_t k = 0; k < pieces_.size(); ++k) {
            if (is_gone(k) || pieces_[k].conifer >= crew_.smallest_)
                continue;
            const std::size_t other = best_of(around(k), k);
            if (other != none)
                unite(k, other);
        }
    }

    std::vector<Unit> large_enough()
    {
        std::vector<Unit> units;
        for (std::size_t k = 0; k < pieces_.size(); ++k)
            if (!is_gone(k) && pieces_[k].conifer >= crew_.smallest_)
                units.push_back(std::move(pieces_[k]));
        return units;
    }

private:
    static constexpr std::size_t none = SIZE_MAX;

    bool is_gone(std::size_t k) const { return pieces_[k].treated.empty(); }

    /// The one with the least conifers of those that have room; the first of equals.
    std::size_t best_of(const std::set<std::size_t>& others, std::size_t k) const
    {
        std::size_t best = none;
        for (const std::size_t other : others)
            if (pieces_[other].conifer + pieces_[k].conifer <= crew_.largest_ &&
                crew_.is_short(hull(boxes_[other], boxes_[k])) &&
                (best == none || pieces_[other].conifer < pieces_[best].conifer))
                best = other;
        return best;
    }

    /// Pieces that a gap joins to piece k.
    std::set<std::size_t> around(std::size_t k) const
    {
        const CellRect near = widened(boxes_[k], GapRule{crew_.grid_, crew_.gap_m_}.reach_cells());
        std::set<std::size_t> found;
        for (std::size_t other = 0; other < pieces_.size(); ++other)
            if (other != k && !is_gone(other) && !intersection(near, boxes_[other]).empty() &&
                split_by_gaps(crew_.grid_, united(pieces_[k], pieces_[other]), crew_.gap_m_)
                        .size() == 1)
                found.insert(other);
        return found;
    }

    void unite(std::size_t gone, std::size_t into)
    {
        pieces_[into] = united(pieces_[into], pieces_[gone]);
        boxes_[into] = hull(boxes_[into], boxes_[gone]);
        pieces_[gone] = {};
        for (const std::size_t other : neighbours_[gone]) {
            neighbours_[other].erase(gone);
            if (other == into)
                continue;
            neighbours_[other].insert(into);
            neighbours_[into].insert(other);
        }
        neighbours_[gone].clear();
    }

    const CrewPieces& crew_;
    std::vector<Unit> pieces_;
    std::vector<CellRect> boxes_;
    std::vector<std::set<std::size_t>> neighbours_;
};

CrewPieces::CrewPieces(const PlanGrid& grid, const UnitRules& rules)
    : grid_(grid), gap_m_(rules.gap_m), smallest_(rules.smallest()), largest_(rules.largest(grid)),
      cols_(cells_in(std::sqrt(rules.largest_m2), grid.cell_width_m())),
      rows_(cells_in(std::sqrt(rules.largest_m2), grid.cell_height_m()))
{}

bool CrewPieces::is_short(const CellRect& box) const
{
    return box.cols <= longest_in_sides * cols_ && box.rows <= longest_in_sides * rows_;
}

bool CrewPieces::fits(const Unit& unit) const
{
    return unit.conifer <= largest_ && is_short(box_of(unit.treated));
}

/// Squares of half the side where one holds too much (where a cell of the ground is larger there).
void CrewPieces::cut(const Unit& unit, std::int64_t rows, std::int64_t cols,
                     std::vector<Unit>& pieces) const
{
    for (auto& [place, square] : squares_of(unit, rows, cols))
        for (Unit& piece : split_by_gaps(grid_, square, gap_m_)) {
            sum_up(grid_, piece);
            if (piece.conifer > largest_ && cells_of(piece) > 1)
                cut(piece, std::max<std::int64_t>(1, rows / 2), std::max<std::int64_t>(1, cols / 2),
                    pieces);
            else
                pieces.push_back(std::move(piece));
        }
}

std::vector<Unit> CrewPieces::pieces_of(const Unit& unit) const
{
    std::vector<Unit> pieces;
    cut(unit, rows_, cols_, pieces);
    Merger merger{*this, std::move(pieces)};
    merger.unite_over_edges();
    merger.unite_over_gaps();
    return merger.large_enough();
}

} // namespace fuelring::plan
