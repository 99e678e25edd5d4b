// SPDX-License-Identifier: Apache-2.0

// From chosen cells to units: components, cut where one is too large for a crew, joined by bridges.
#include "plan/units.hpp"

#include "plan/bridges.hpp"
#include "plan/gaps.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

namespace fuelring::plan {

namespace {

constexpr std::int64_t longest_in_sides = 4;

/// Sets of cells before bridges, by the root of their component.
std::vector<Unit> gather(const PlanGrid& grid, const Labelling& labelling)
{
    std::vector<std::uint32_t> unit_of(labelling.parts(), Labelling::none);
    std::vector<Unit> units;
    for (std::size_t b = 0; b < grid.blocks().size(); ++b) {
        const Block& block = grid.blocks()[b];
        labelling.runs(b, [&](int row, int col, int cells, std::uint32_t part) {
            const std::uint32_t root = labelling.root(part);
            if (unit_of[root] == Labelling::none) {
                unit_of[root] = static_cast<std::uint32_t>(units.size());
                const Component& whole = labelling.whole(root);
                units.emplace_back();
                units.back().zone = whole.zone;
                units.back().conifer = whole.conifer;
                units.back().points = whole.points;
            }
            Unit& unit = units[unit_of[root]];
            unit.treated.push_back({block.rect.row + row, block.rect.col + col, cells});
            unit.cell_area += cells * block.cell_area;
        });
    }
    return units;
}

CellRect box_of(const std::vector<CellRun>& runs)
{
    CellRect box;
    for (const CellRun& run : runs)
        box = hull(box, {run.col, run.row, run.cols, 1});
    return box;
}

/// Tells which units are to be cut, and into which square of the lattice a cell falls.
class Lattice {
public:
    Lattice(const PlanGrid& grid, double largest_m2)
        : largest_(std::llround(largest_m2 / conifer_unit_m2)),
          cols_(
              std::max<std::int64_t>(1, std::llround(std::sqrt(largest_m2) / grid.cell_width_m()))),
          rows_(
              std::max<std::int64_t>(1, std::llround(std::sqrt(largest_m2) / grid.cell_height_m())))
    {}
    bool must_cut(const Unit& unit) const
    {
        if (unit.conifer > largest_)
            return true;
        const CellRect box = box_of(unit.treated);
        return box.cols > longest_in_sides * cols_ || box.rows > longest_in_sides * rows_;
    }
    /// The unit's runs, cut at the lattice and sorted into its squares.
    std::map<std::pair<std::int64_t, std::int64_t>, Unit> squares_of(const Unit& unit) const
    {
        std::map<std::pair<std::int64_t, std::int64_t>, Unit> squares;
        for (const CellRun& run : unit.treated)
            for (std::int64_t col = run.col; col < run.col + run.cols;) {
                const std::int64_t r = run.row / rows_;
                const std::int64_t c = col / cols_;
                const std::int64_t end = std::min((c + 1) * cols_, run.col + run.cols);
                Unit& square = squares[{r, c}];
                square.zone = unit.zone;
                square.bridge_limit = {c * cols_, r * rows_, cols_, rows_};
                square.treated.push_back({run.row, col, end - col});
                col = end;
            }
        return squares;
    }

private:
    std::int64_t largest_;
    std::int64_t cols_;
    std::int64_t rows_;
};

/// Sums over the treated cells, from the grid.
void sum_up(const PlanGrid& grid, Unit& unit)
{
    unit.conifer = unit.points = unit.cell_area = 0;
    for (const CellRun& run : unit.treated)
        for_each_block(
            grid, {run.col, run.row, run.cols, 1}, [&](const Block& block, const CellRect& part) {
                const int from = static_cast<int>(part.col - block.rect.col);
                block.conifers(static_cast<int>(part.row - block.rect.row), from,
                               from + static_cast<int>(part.cols), [&](int, std::size_t k) {
                                   unit.conifer += block.conifer(k);
                                   unit.points += grid.points(block, k, unit.zone);
                               });
                unit.cell_area += part.cols * block.cell_area;
            });
}

Unit united(const PlanGrid& grid, const Unit& a, const Unit& b)
{
    Unit both = a;
    both.treated.insert(both.treated.end(), b.treated.begin(), b.treated.end());
    put_in_order(both.treated);
    both.bridge_limit = hull(a.bridge_limit, b.bridge_limit);
    sum_up(grid, both);
    return both;
}

/// The piece of lowest ratio that a gap joins to piece `small`; none: pieces.size().
std::size_t neighbour_of(const PlanGrid& grid, const std::vector<Unit>& pieces, std::size_t small,
                         double gap_m)
{
    const GapRule rule{grid, gap_m};
    const std::int64_t margin = rule.reach_cells();
    const CellRect box = box_of(pieces[small].treated);
    const CellRect around{box.col - margin, box.row - margin, box.cols + 2 * margin,
                          box.rows + 2 * margin};
    std::size_t best = pieces.size();
    for (std::size_t k = 0; k < pieces.size(); ++k) {
        if (k == small || intersection(around, box_of(pieces[k].treated)).empty())
            continue;
        // points / conifer, compared crosswise
        if (best < pieces.size() && pieces[k].removed_points() * pieces[best].conifer_m2() >=
                                        pieces[best].removed_points() * pieces[k].conifer_m2())
            continue;
        if (split_by_gaps(grid, united(grid, pieces[small], pieces[k]), gap_m).size() == 1)
            best = k;
    }
    return best;
}

/// The unit in pieces of one square each; the unit as it is where that cannot be.
std::vector<Unit> cut(const PlanGrid& grid, const Unit& unit, const Lattice& lattice,
                      const UnitRules& rules)
{
    std::vector<Unit> pieces;
    for (auto& [place, square] : lattice.squares_of(unit))
        for (Unit& piece : split_by_gaps(grid, square, rules.gap_m)) {
            sum_up(grid, piece);
            pieces.push_back(std::move(piece));
        }
    for (;;) {
        const auto small = std::find_if(pieces.begin(), pieces.end(), [&](const Unit& piece) {
            return piece.conifer < rules.smallest();
        });
        if (small == pieces.end())
            return pieces;
        const auto k = static_cast<std::size_t>(small - pieces.begin());
        const std::size_t other = neighbour_of(grid, pieces, k, rules.gap_m);
        if (other == pieces.size())
            return {unit};
        pieces[other] = united(grid, pieces[other], pieces[k]);
        pieces.erase(small);
    }
}

bool goes_before(const Unit& a, const Unit& b)
{
    const double ratio_a = a.removed_points() * b.cost;
    const double ratio_b = b.removed_points() * a.cost;
    if (ratio_a != ratio_b)
        return ratio_a > ratio_b;
    return std::tie(a.treated.front().row, a.treated.front().col) <
           std::tie(b.treated.front().row, b.treated.front().col);
}

} // namespace

void put_in_order(std::vector<CellRun>& runs)
{
    std::sort(runs.begin(), runs.end(), [](const CellRun& a, const CellRun& b) {
        return std::tie(a.row, a.col) < std::tie(b.row, b.col);
    });
    std::size_t last = 0;
    for (std::size_t k = 1; k < runs.size(); ++k) {
        if (runs[last].row == runs[k].row && runs[last].col + runs[last].cols == runs[k].col)
            runs[last].cols += runs[k].cols;
        else
            runs[++last] = runs[k];
    }
    runs.resize(runs.empty() ? 0 : last + 1);
}

std::vector<Unit> units_of(const PlanGrid& grid, const CellSet& chosen, const UnitRules& rules,
                           double largest_m2, const ShareOut& share_out)
{
    std::vector<Unit> whole;
    {
        Selection selection;
        selection.set = &chosen;
        whole = gather(grid, Labelling{grid, selection, rules.gap_m, share_out});
    }
    const Lattice lattice{grid, largest_m2};
    std::vector<std::vector<Unit>> pieces(whole.size());
    share_out(whole.size(), [&](const std::function<std::size_t()>& next) {
        for (std::size_t k = next(); k < whole.size(); k = next()) {
            put_in_order(whole[k].treated);
            if (lattice.must_cut(whole[k]))
                pieces[k] = cut(grid, whole[k], lattice, rules);
            else
                pieces[k].push_back(std::move(whole[k]));
            for (Unit& unit : pieces[k]) {
                unit.bridges = bridges_of(grid, unit, rules.gap_m);
                for (const CellRun& run : unit.bridges)
                    for_each_block(grid, {run.col, run.row, run.cols, 1},
                                   [&](const Block& block, const CellRect& part) {
                                       unit.cell_area += part.cols * block.cell_area;
                                   });
                unit.cost = grid.cost(unit.zone, unit.conifer) + rules.fixed_cost;
            }
        }
    });
    std::vector<Unit> units;
    for (std::vector<Unit>& of_one : pieces)
        std::move(of_one.begin(), of_one.end(), std::back_inserter(units));
    std::sort(units.begin(), units.end(), goes_before);
    return units;
}

} // namespace fuelring::plan
