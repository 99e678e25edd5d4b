// SPDX-License-Identifier: Apache-2.0

// Drawing by numbers: whoever looks at a cell can tell its number without the others, so blocks of
// the raster may come in any order and from any thread, and the least numbers are the sample.
#include "change/reference_sample.hpp"

#include "base/mixed_number.hpp"

#include <fuelring/error.hpp>
#include <fuelring/statistics/sample_plan.hpp>

#include <algorithm>

namespace fuelring {

std::uint64_t number_of_cell(std::uint64_t seed, std::int64_t row, std::int64_t col)
{
    return mixed_number(seed, static_cast<std::uint64_t>(row), static_cast<std::uint64_t>(col));
}

Point spot_in_cell(std::uint64_t number)
{
    return {share_of_number(mixed(number + golden_step)),
            share_of_number(mixed(number + 2 * golden_step))};
}

void LeastNumbers::offer(std::span<const DrawnCell> cells)
{
    cells_.insert(cells_.end(), cells.begin(), cells.end());
    if (cells_.size() > wanted_) {
        std::nth_element(cells_.begin(), cells_.begin() + static_cast<std::ptrdiff_t>(wanted_),
                         cells_.end());
        cells_.resize(wanted_);
    }
    std::sort(cells_.begin(), cells_.end());
}

std::array<std::int64_t, drawn_classes>
points_by_class(const std::array<double, drawn_classes>& class_m2, std::int64_t total)
{
    constexpr std::array<double, drawn_classes> unknown{}; // accuracies do not matter here
    const std::vector<Stratum> strata = expected_strata(class_m2, unknown);
    const auto covered =
        std::count_if(class_m2.begin(), class_m2.end(), [](double m2) { return m2 > 0; });
    const std::int64_t least = std::clamp(total / covered, least_points, usual_minimum);
    const std::vector<std::int64_t> points =
        allocate(strata, total, Allocation::proportional, least);
    std::array<std::int64_t, drawn_classes> result{};
    std::copy(points.begin(), points.end(), result.begin());
    return result;
}

} // namespace fuelring
