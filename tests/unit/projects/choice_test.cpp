// SPDX-License-Identifier: Apache-2.0
#include "projects/choice.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>

using namespace fuelring;

namespace {

/// Options on shared ground: each takes a run of parts.
struct Options {
    std::vector<ProjectOption> list;
    std::vector<double> part_points;
    std::int64_t all_cost = 0;

    Options(std::size_t count, unsigned seed)
    {
        std::mt19937 random{seed};
        std::uniform_real_distribution<double> any{0, 1};
        for (std::size_t p = 0; p < 3 * count; ++p)
            part_points.push_back(10 * any(random) * any(random));
        for (std::size_t k = 0; k < count; ++k) {
            ProjectOption option;
            option.cost = static_cast<std::int64_t>(100 + 900 * any(random));
            const auto first =
                static_cast<std::uint32_t>(any(random) * 3 * static_cast<double>(count - 1));
            const auto parts = static_cast<std::uint32_t>(1 + 5 * any(random));
            for (std::uint32_t p = first; p < std::min<std::size_t>(first + parts, 3 * count); ++p)
                option.taken.push_back({p, any(random) < 0.5 ? 1 : any(random)});
            all_cost += option.cost;
            list.push_back(std::move(option));
        }
    }

    double points_of(const std::vector<std::uint32_t>& chosen) const
    {
        std::vector<double> taken(part_points.size());
        for (const std::uint32_t k : chosen)
            for (const PartTaken& part : list[k].taken)
                taken[part.part] = std::max(taken[part.part], part.taken);
        double points = 0;
        for (std::size_t p = 0; p < taken.size(); ++p)
            points += taken[p] * part_points[p];
        return points;
    }
    std::int64_t cost_of(const std::vector<std::uint32_t>& chosen) const
    {
        std::int64_t cost = 0;
        for (const std::uint32_t k : chosen)
            cost += list[k].cost;
        return cost;
    }
    /// Every set is tried.
    double best_by_enumeration(std::int64_t budget) const
    {
        double best = 0;
        for (std::uint32_t set = 0; set < (1U << list.size()); ++set) {
            std::vector<std::uint32_t> chosen;
            for (std::uint32_t k = 0; k < list.size(); ++k)
                if ((set >> k & 1U) != 0)
                    chosen.push_back(k);
            if (cost_of(chosen) <= budget)
                best = std::max(best, points_of(chosen));
        }
        return best;
    }
};

} // namespace

TEST_CASE("the best of 15 projects within a budget is that of an enumeration of all sets")
{
    for (unsigned seed = 1; seed <= 6; ++seed) {
        CAPTURE(seed);
        const Options options{15, seed};
        const std::int64_t budget = options.all_cost * (1 + seed) / 10;
        const ProjectChoice choice = best_choice(options.list, options.part_points, budget);
        CHECK(choice.points == doctest::Approx(options.best_by_enumeration(budget)).epsilon(1e-12));
        CHECK(choice.points == doctest::Approx(options.points_of(choice.chosen)).epsilon(1e-12));
        CHECK(choice.cost == options.cost_of(choice.chosen));
        CHECK(choice.cost <= budget);
        CHECK(choice.proved_best);
    }
}

TEST_CASE("300 choices among few and many projects keep the budget and stay below their bound")
{
    std::mt19937 random{5};
    std::uniform_real_distribution<double> any{0, 1};
    for (unsigned trial = 0; trial < 300; ++trial) {
        CAPTURE(trial);
        const Options options{static_cast<std::size_t>(trial % 10 == 0 ? 40 : 4 + trial % 9),
                              1000 + trial};
        const auto budget =
            static_cast<std::int64_t>(any(random) * 0.6 * static_cast<double>(options.all_cost));
        const ProjectChoice choice = best_choice(options.list, options.part_points, budget);
        CHECK(choice.cost <= budget);
        CHECK(choice.cost == options.cost_of(choice.chosen));
        CHECK(choice.points <= choice.most_points);
    }
}

TEST_CASE("among 200 projects a choice comes with a bound that no other choice exceeds")
{
    const Options options{200, 3};
    const std::int64_t budget = options.all_cost / 5;
    const ProjectChoice choice = best_choice(options.list, options.part_points, budget);
    CHECK(choice.cost <= budget);
    CHECK(choice.points <= choice.most_points);
    CHECK(choice.points > 0.9 * choice.most_points);
    // Choices by hand: random ones, filled up in any order.
    std::mt19937 random{11};
    std::vector<std::uint32_t> order(options.list.size());
    for (std::uint32_t k = 0; k < order.size(); ++k)
        order[k] = k;
    for (int trial = 0; trial < 200; ++trial) {
        std::shuffle(order.begin(), order.end(), random);
        std::vector<std::uint32_t> other;
        std::int64_t cost = 0;
        for (const std::uint32_t k : order)
            if (cost + options.list[k].cost <= budget) {
                other.push_back(k);
                cost += options.list[k].cost;
            }
        CHECK(options.points_of(other) <= choice.most_points);
    }
}

TEST_CASE("nothing is chosen where nothing fits, and what costs nothing always is")
{
    const std::vector<double> points{3, 2};
    const std::vector<ProjectOption> options{{500, {{0, 1}}}, {0, {{1, 0.5}}}};
    const ProjectChoice none = best_choice({{500, {{0, 1}}}}, points, 499);
    CHECK(none.chosen.empty());
    CHECK(none.points == 0);
    const ProjectChoice free = best_choice(options, points, 499);
    CHECK(free.chosen == std::vector<std::uint32_t>{1});
    CHECK(free.points == doctest::Approx(1));
}
