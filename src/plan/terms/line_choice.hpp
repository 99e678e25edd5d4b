// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "plan/terms/strip_ground.hpp"

#include <cstdint>
#include <utility>
#include <vector>

namespace fuelring::plan {

inline constexpr double length_rounding_m = 1e-6; ///< of lengths that are sums of slices

/// The best stretches of one line at a price: exact (strip_ground.hpp). Costs are not rounded.
class LineChoice {
public:
    LineChoice(const PlanGrid& grid, const UnitRules& rules, const StripLine& line,
               double least_length_m, double price)
        : line_(line), best_(line.size() + 1), from_(line.size() + 1, none)
    {
        choose(grid, rules, least_length_m, price);
    }

    double surplus() const { return best_.back(); }

    /// Pairs of first slice and slice behind the last, from the far end.
    std::vector<std::pair<std::uint32_t, std::uint32_t>> stretches() const
    {
        std::vector<std::pair<std::uint32_t, std::uint32_t>> found;
        for (std::size_t end = line_.size(); end > 0;) {
            if (from_[end] == none) {
                --end;
                continue;
            }
            found.emplace_back(from_[end], static_cast<std::uint32_t>(end));
            end = from_[end];
        }
        return found;
    }

private:
    static constexpr std::uint32_t none = UINT32_MAX;

    void choose(const PlanGrid& grid, const UnitRules& rules, double least_m, double price);

    const StripLine& line_;
    std::vector<double> best_;        ///< surplus of the best stretches before a slice
    std::vector<std::uint32_t> from_; ///< first slice of the stretch that ends there
};

} // namespace fuelring::plan
