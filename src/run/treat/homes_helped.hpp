// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "run/stages/treated_fuel.hpp"

#include <fuelring/measure.hpp>

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

namespace fuelring {

/// By how many points of exposure a home has to fall to be counted as helped.
inline constexpr std::array points_of_help{0.1, 0.5, 1.0, 2.0, 5.0};
/// What a text or a page means by a home that is helped; one of them.
inline constexpr double points_worth_telling = 1.0;

/// Structures whose exposure falls by each of points_of_help or more; result[k] belongs to
/// points_of_help[k]. `before` and `after` are by structure and equally long; one without an
/// exposure on either side is never counted. A fall that misses a bound by less than 1e-9 points,
/// which rounding may take, counts.
/// Law: the counts do not rise with k.
std::vector<std::int64_t> homes_helped(const std::vector<std::optional<double>>& before,
                                       const std::vector<std::optional<double>>& after);

/// Structures near each unit: those with an exposure whose rings, out to the last that has a weight
/// and is mapped, cover part of a treated cell of the unit, be it ever so little.
/// `rings_that_count` are those of TreatedExposures. result[u] belongs to unit u of `units`; a home
/// near two units counts for both. Does not ask how much its exposure falls.
std::vector<std::int64_t> homes_in_reach(const Community& community, const Grid& grid,
                                         const RingPlan& plan,
                                         const std::vector<std::size_t>& rings_that_count,
                                         const TreatedFuel& treated, std::size_t units, int jobs);

} // namespace fuelring
