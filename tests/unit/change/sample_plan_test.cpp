// SPDX-License-Identifier: Apache-2.0
#include "unit/change/matrices.hpp"

#include <fuelring/error.hpp>
#include <fuelring/statistics/sample_plan.hpp>

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>
#include <string>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

using Points = std::vector<std::int64_t>;

/// Table 5 of the paper of WorkedExample: its areas, and the user's accuracies that it expects.
std::vector<Stratum> worked_example()
{
    return expected_strata(WorkedExample{}.mapped_ha, std::vector{0.70, 0.60, 0.90, 0.95});
}

std::int64_t sum_of(const Points& points)
{
    return std::accumulate(points.begin(), points.end(), std::int64_t{0});
}

} // namespace

TEST_CASE("the published sample size comes out for a standard error of 0.01")
{
    // Olofsson et al. 2014, Table 5: 641 points; areas, expected accuracies and sum as open
    // copies of the example give them. By hand: (0.02 sqrt(.21) + 0.015 sqrt(.24) +
    // 0.32 x 0.3 + 0.645 sqrt(.0475))^2 x 10^4 = 640.54.
    CHECK(fewest_points(worked_example(), 0.01) == 641);
}

TEST_CASE("rare classes at 75 points leave the worked example's allocation to the others")
{
    // The rows of the paper's matrix sum to 75, 75, 165 and 325: the same, rounded to fives.
    const Points points = allocate(worked_example(), 640, Allocation::proportional, 75);
    CHECK(points == Points{75, 75, 162, 328}); // 490 x 0.32 / 0.965 = 162.49
    const Points published{75, 75, 165, 325};
    CHECK(expected_se(worked_example(), points) ==
          Approx(expected_se(worked_example(), published)).epsilon(1e-3));
}

TEST_CASE("points are shared out equally, in proportion, or best for the estimate")
{
    const std::vector<Stratum> strata{{0.7, 0.1}, {0.2, 0.4}, {0.1, 0.5}, {0, 0.5}};
    CHECK(allocate(strata, 100, Allocation::equal) == Points{34, 33, 33, 0});
    CHECK(allocate(strata, 100, Allocation::proportional) == Points{70, 20, 10, 0});
    CHECK(allocate(strata, 200, Allocation::optimal) == Points{70, 80, 50, 0}); // 7 : 8 : 5
    CHECK(allocate(strata, 100, Allocation::proportional, 25) == Points{50, 25, 25, 0});
    CHECK(allocate(strata, 7, Allocation::proportional) == Points{3, 2, 2, 0});
    CHECK(allocate(strata, 75, Allocation::proportional, 25) == Points{25, 25, 25, 0});
}

TEST_CASE("holding one class at the minimum may bring the next below it")
{
    // 100 points: 0.06 gets 6 < 20, and 0.21 of the other 80 is 17.9 < 20 where it had 21.
    const std::vector<Stratum> strata{{0.06, 0.5}, {0.21, 0.5}, {0.73, 0.5}};
    CHECK(allocate(strata, 100, Allocation::proportional, 20) == Points{20, 20, 60});
}

TEST_CASE("where no class is expected to err, the best allocation is the equal one")
{
    const std::vector<Stratum> strata = expected_strata(std::vector{9.0, 1.0}, std::vector{1., 1.});
    CHECK(allocate(strata, 10, Allocation::optimal) == Points{5, 5});
    CHECK(plan_sample(strata, 0.01, Allocation::optimal).points == Points{2, 2});
    CHECK(plan_sample(strata, 0.01, Allocation::optimal).expected_se == 0);
}

TEST_CASE("a plan meets the wanted error, and one point less would not")
{
    for (unsigned seed = 1; seed <= 30; ++seed) {
        RandomMap map{seed};
        std::vector<double> expected;
        for (std::size_t k = 0; k < map.area.size(); ++k)
            expected.push_back(0.5 + 0.49 * static_cast<double>(map.below(100)) / 100);
        const std::vector<Stratum> strata = expected_strata(map.area, expected);
        const double wanted = 0.005 + 0.0005 * seed;
        for (const Allocation how :
             {Allocation::equal, Allocation::proportional, Allocation::optimal})
            for (const std::int64_t minimum : {least_points, usual_minimum}) {
                CAPTURE(seed);
                CAPTURE(static_cast<int>(how));
                CAPTURE(minimum);
                const SamplePlan plan = plan_sample(strata, wanted, how, minimum);
                CHECK(plan.expected_se <= wanted * (1 + 1e-12));
                CHECK(plan.total >= fewest_points(strata, wanted));
                CHECK(sum_of(plan.points) == plan.total);
                CHECK(*std::min_element(plan.points.begin(), plan.points.end()) >= minimum);
                const std::int64_t held = minimum * static_cast<std::int64_t>(strata.size());
                if (plan.total > held)
                    CHECK(expected_se(strata, allocate(strata, plan.total - 1, how, minimum)) >
                          wanted);
            }
    }
}

TEST_CASE("the best allocation takes as many points as equation 13 says")
{
    // Whole points cost at most one in each class: V rises by less than n_i / (n_i - 1).
    const SamplePlan plan = plan_sample(worked_example(), 0.01, Allocation::optimal);
    CHECK(plan.total >= 641);
    CHECK(plan.total <= 642);
    // In proportion: n = sum of W S^2 / SE^2 = (.02 x .21 + .015 x .24 + .32 x .09 +
    // .645 x .0475) x 10^4 = 672.375.
    CHECK(plan_sample(worked_example(), 0.01, Allocation::proportional).total ==
          Approx(673).epsilon(2.0 / 673));
}

TEST_CASE("points for the area of a class give that area its standard error")
{
    // 1,000 ha of conifer and 9,000 ha of other ground; a fifth of the first is not conifer, a
    // twentieth of the second is. Wanted: 100 ha, 0.01 of the ground.
    const std::vector<double> mapped_ha{1'000, 9'000};
    const std::vector<Stratum> strata = expected_strata(mapped_ha, std::vector{0.8, 0.05});
    const SamplePlan plan = plan_sample(strata, 100.0 / 10'000, Allocation::optimal);
    // (0.1 x 0.4 + 0.9 x sqrt(0.0475))^2 / 0.01^2 = 557.66
    CHECK(fewest_points(strata, 0.01) == 558);
    CHECK(plan.total <= 559);
    // With the points that one then expects, the estimator's error is the wanted one but for
    // n - 1 in place of n, and for whole counts.
    const double n1 = static_cast<double>(plan.points[0]);
    const double n2 = static_cast<double>(plan.points[1]);
    const auto yes1 = static_cast<std::int64_t>(std::round(0.8 * n1));
    const auto yes2 = static_cast<std::int64_t>(std::round(0.05 * n2));
    const ConfusionMatrix matrix =
        matrix_of({yes1, plan.points[0] - yes1, yes2, plan.points[1] - yes2});
    CHECK(*assess(matrix, mapped_ha).classes[0].area.se == Approx(100).epsilon(0.02));
}

TEST_CASE("plans that cannot be are refused")
{
    const std::vector<Stratum> strata = worked_example();
    const std::vector<double> area{1, 1};
    const auto says = [](const std::string& message, std::string_view text) {
        CAPTURE(message);
        CAPTURE(text);
        CHECK(message.find(text) != std::string::npos);
    };
    says(refusal([&] { fewest_points(strata, 0); }), "a wanted standard error of 0");
    says(refusal([&] { fewest_points(strata, std::nan("")); }), "a wanted standard error of nan");
    says(refusal([&] { fewest_points(strata, 1e-9); }), "points; 1000000000 is the most");
    says(refusal([&] { fewest_points({}, 0.01); }), "shares of ground");
    says(refusal([&] { allocate(strata, 7, Allocation::equal); }),
         "7 points for 4 classes of at least 2 each");
    says(refusal([&] { allocate(strata, 7, Allocation::equal, 0); }), "a minimum of 0 points");
    says(refusal([&] { plan_sample(strata, 0.1, Allocation::equal, INT64_MAX); }),
         "a minimum of 9");
    says(refusal([&] { plan_sample(strata, 1e-5, Allocation::equal, 300'000'000); }),
         "it takes 1200000000 points; 1000000000 is the most");
    says(refusal([&] { expected_se(strata, Points{1, 1, 0, 1}); }), "class 3 gets 0 points");
    says(refusal([&] { expected_se(strata, Points{1}); }), "points for 1 classes");
    says(refusal([&] { expected_strata(area, std::vector{0.5}); }), "2 mapped areas and 1");
    says(refusal([&] { expected_strata(area, std::vector{0.5, 1.5}); }), "share of 1.5");
    says(refusal([&] { expected_strata(std::vector{0.0, 0.0}, area); }), "sum to 0");
    says(refusal([&] { expected_strata(std::vector{-1.0, 2.0}, area); }), "area of -1");
}
