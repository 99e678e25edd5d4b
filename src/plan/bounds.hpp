// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/price_plan.hpp"

namespace fuelring::plan {

/// Cells by key, summed: what there is to save at every price.
/// Law: integers are summed (costs in millionths of a budget unit), so threads change nothing.
/// Memory: 16 bytes for each bin from the least key to the greatest, at most 2^18 of them; once
/// more for each thread while it is made, and as much for each of several made together.
class Supply {
public:
    /// Cells of the first rings only where `widest_ring` says so.
    Supply(const PlanGrid& grid, int widest_ring, const ShareOut& share_out);
    /// For each ring up to `widest_ring` the cells of the first rings up to that one. The cells are
    /// read once.
    static std::vector<Supply> by_ring(const PlanGrid& grid, int widest_ring,
                                       const ShareOut& share_out);
    /// For each of `smallest` the cells whose whole component has at least so much conifer. The
    /// cells are read once. Requires: sizes that do not rise.
    static std::vector<Supply> by_size(const PlanGrid& grid, const Labelling& labelling,
                                       const std::vector<std::int64_t>& smallest,
                                       const ShareOut& share_out);

    /// No plan that costs at most `budget` saves more points: cells by falling ratio, the last one
    /// in part. Too high by less than the width of a bin of the keys (a thousandth) on the last
    /// bin.
    /// Source: the fractional knapsack. Were a cell of a lower ratio taken before one of a higher,
    /// to swap equal costs would save more (Dantzig, Discrete-variable extremum problems,
    /// Operations Research 5, 1957).
    double most_points(double budget) const;
    /// The key at which a plan of these cells would cost `budget`.
    /// The lower end of a bin; 1 where all cells together cost no more than that.
    Key key_at_cost(double budget) const;

    /// In units of the budget, without fixed costs.
    double all_cost() const;
    /// In conifer_unit_m2.
    std::int64_t conifer() const { return conifer_; }
    /// Keys at which plans would cost these shares of all, from high to low; a share of 1 takes in
    /// all. Law: keys fall strictly, so there may be fewer than shares; none is 0.
    std::vector<Key> keys_at_shares(const std::vector<double>& shares_of_cost) const;

private:
    /// No cells, of keys between two bins.
    Supply(std::size_t first_bin, std::size_t bins);
    void add(const PlanGrid& grid, const Block& block, std::size_t k, ZoneId zone);
    void add(const Supply& other);
    /// Of cells in classes: the supply of each class holds those of the classes before it as well.
    template <typename EachCell>
    static std::vector<Supply> of_classes(const PlanGrid& grid, std::size_t classes,
                                          const ShareOut& share_out, EachCell each_cell);

    static constexpr int bin_shift = 13;
    std::size_t first_bin_ = 0;        ///< that of the least key: bins of lower ones are empty
    std::vector<std::int64_t> cost_;   ///< by (key >> bin_shift) - first_bin_, in cost_unit
    std::vector<std::int64_t> points_; ///< in points_unit
    std::int64_t conifer_ = 0;
};

/// With a fixed cost F for each unit: min over prices p of p B + sum of what each component can
/// add, components of all conifers that a gap joins (no unit crosses two) and that are large
/// enough. Units with a m2 of conifers of one component are at least a / L, since none has more
/// than the largest size L, and at least one: the component adds at most max(0, min(sum of (b - p
/// c)+ - p F, sum of (b - p c - p F a / L)+)). No plan saves more within the budget.
/// Unit: points. `everything`: components of all cells that some price could take.
/// Source: weak duality. For a plan x that costs c(x) <= B, b(x) <= b(x) + p (B - c(x)), which is
/// p B and what components make of b - p c. Every price bounds: the search may stop anywhere.
double dual_bound(const PlanGrid& grid, const UnitRules& rules, double budget,
                  const Labelling& everything, const ShareOut& share_out);

} // namespace fuelring::plan
