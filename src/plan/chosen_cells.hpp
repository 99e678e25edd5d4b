// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/growth.hpp"

#include <cstdint>
#include <unordered_map>
#include <vector>

namespace fuelring::plan {

/// Cells that grew and stay: those that no earlier group has, with their sums.
struct GrownGroup {
    Grown grown;                        ///< `cells`, `conifer` and `points` of what is its own
    std::vector<std::uint32_t> earlier; ///< groups that have others of the cells it took in
};
struct GrownGroups {
    std::vector<GrownGroup> groups;
    std::unordered_map<std::uint64_t, std::uint32_t> group_of; ///< by GrownCell::number
};

/// What a plan takes, by what hangs together of it: components of a labelling and groups that grew.
/// Memory: twelve bytes for each run of cells; units are made when they are asked for.
class ChosenCells {
public:
    /// `kept` is by root. Nothing is kept of the arguments but the grid, which must outlive this.
    /// Law: numbers follow the first cell of each by block, row and column.
    ChosenCells(const PlanGrid& grid, const Labelling& labelling,
                const std::vector<std::uint8_t>& kept, const GrownGroups& grown);

    std::size_t size() const { return sums_.size() - 1; }
    /// What hangs together, in order; without cost and bridges. Any number of threads may ask.
    Unit unit(std::size_t number) const;

private:
    struct Sums {
        std::int64_t conifer = 0;
        std::int64_t points = 0;
        std::int64_t cell_area = 0;
        std::uint32_t first_run = 0;
        ZoneId zone = no_zone;
    };
    struct Run {
        std::uint32_t row;
        std::uint32_t col;
        std::uint32_t cells;
    };
    std::vector<Sums> sums_; ///< one more stands behind the last, for its first_run
    std::vector<Run> runs_;  ///< by number
};

} // namespace fuelring::plan
