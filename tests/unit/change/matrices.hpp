// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/error.hpp>
#include <fuelring/statistics/accuracy.hpp>

#include <doctest/doctest.h>

#include <functional>
#include <random>
#include <string>
#include <utility>

namespace fuelring::test {

inline ConfusionMatrix matrix_of(std::vector<std::int64_t> counts)
{
    ConfusionMatrix matrix;
    for (std::size_t k = 0; k * k < counts.size(); ++k)
        matrix.classes.push_back("class " + std::to_string(k + 1));
    matrix.counts = std::move(counts);
    return matrix;
}

/// What `act` is refused with as an input; "not refused" where it is not.
inline std::string refusal(const std::function<void()>& act)
{
    try {
        act();
    } catch (const Error& e) {
        CHECK(e.kind() == Failure::input);
        return e.message();
    }
    return "not refused";
}

/// The worked example of Olofsson P., Foody G.M., Herold M., Stehman S.V., Woodcock C.E., Wulder
/// M.A. (2014) Good practices for estimating area and assessing accuracy of land change. Remote
/// Sensing of Environment 148:42-57, doi:10.1016/j.rse.2014.02.015, Table 8. Deforestation, forest
/// gain, stable forest, stable non-forest.
struct WorkedExample {
    ConfusionMatrix matrix =
        matrix_of({66, 0, 5, 4, /**/ 0, 55, 8, 12, /**/ 1, 0, 153, 11, /**/ 2, 1, 9, 313});
    /// 200000, 150000, 3200000, 6450000 pixels of 30 m.
    std::vector<double> mapped_ha{18'000, 13'500, 288'000, 580'500};
};

/// A matrix of some classes, each with 2 to 80 points, and areas of them; the first is rare.
struct RandomMap {
    explicit RandomMap(unsigned seed, std::size_t classes = 5) : random(seed)
    {
        std::vector<std::int64_t> counts(classes * classes);
        for (std::size_t k = 0; k < classes; ++k) {
            counts[k * classes + k] = 2 + below(40);
            for (std::size_t j = 0; j < classes; ++j)
                counts[k * classes + j] += below(11);
            area.push_back(k == 0 ? 0.5 : 1 + static_cast<double>(below(100'000)) / 16);
        }
        matrix = matrix_of(std::move(counts));
    }
    /// mt19937 gives the same numbers everywhere; distributions do not.
    std::int64_t below(unsigned n) { return static_cast<std::int64_t>(random() % n); }

    std::mt19937 random;
    ConfusionMatrix matrix;
    std::vector<double> area;
};

} // namespace fuelring::test
