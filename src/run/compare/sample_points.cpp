// SPDX-License-Identifier: Apache-2.0

// How many reference points to visit. Shares of ground come from the comparison, accuracies from
// whoever asks; the plan is made twice, in proportion to ground with a least number for each class,
// and with the fewest points in all. The first serves every estimate, the second overall accuracy
// alone.
#include "run/compare/sample_points.hpp"

#include "exposure/areas.hpp"
#include "io/tables/csv_table.hpp"

#include <fuelring/error.hpp>
#include <fuelring/statistics/sample_plan.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

namespace fuelring {

namespace {

constexpr std::array<const char*, 4> map_classes{"removed", "regrown", "unchanged", "no_conifer"};

Error wrong(const std::string& what, const std::string& where)
{
    return {Failure::usage, what, where,
            "give --expect once for each of removed, regrown, unchanged, no_conifer, such as "
            "--expect removed=0.7"};
}

/// A row of sample_points.csv: a class of change.
struct SampleRow {
    const char* map_class;
    double mapped_ha, share, expected;
    std::int64_t points, at_least;
};

std::vector<Column<SampleRow>> sample_columns()
{
    using namespace unit;
    using R = SampleRow;
    return {
        {"map_class", "Class", none, &R::map_class, "of `change.tif`"},
        {"mapped_ha", "Mapped", ha, &R::mapped_ha,
         "ground of the cells of that class within the widest distance of a structure"},
        {"share_of_ground", "Share of ground", share, &R::share, "of these cells"},
        {"expected_users_accuracy", "Expected user's accuracy", share, &R::expected,
         "as given by `--expect`"},
        {"points", "Points", none, &R::points, "to draw: in proportion to its ground, at least 50"},
        {"points_at_least", "Points at least", none, &R::at_least,
         "by the allocation that needs the fewest"}};
}

} // namespace

std::array<double, 4> expected_accuracies(const SampleWish& wish)
{
    std::array<std::optional<double>, 4> given;
    for (const std::string& text : wish.expected) {
        const std::size_t at = text.find('=');
        const auto found = std::find(map_classes.begin(), map_classes.end(), text.substr(0, at));
        double share = 0;
        const char* end = text.data() + text.size();
        if (at == std::string::npos || found == map_classes.end() ||
            std::from_chars(text.data() + at + 1, end, share).ptr != end || at + 1 == text.size())
            throw wrong("no class of change with a share", "--expect " + text);
        if (!(share >= 0 && share <= 1))
            throw wrong("the share must lie between 0 and 1", "--expect " + text);
        std::optional<double>& of_class =
            given[static_cast<std::size_t>(found - map_classes.begin())];
        if (of_class)
            throw wrong(fmt::format("two accuracies are expected of {}", *found),
                        "--expect " + text);
        of_class = share;
    }
    std::array<double, 4> shares{};
    for (std::size_t k = 0; k < map_classes.size(); ++k) {
        if (!given[k])
            throw wrong(fmt::format("no accuracy is expected of {}", map_classes[k]),
                        "--sample-se");
        shares[k] = *given[k];
    }
    return shares;
}

nlohmann::json write_sample_points(const std::filesystem::path& path,
                                   const std::array<double, 4>& class_m2, const SampleWish& wish,
                                   bool bom)
{
    const std::array<double, 4> expected = expected_accuracies(wish);
    const std::vector<Stratum> strata = expected_strata(class_m2, expected);
    const SamplePlan middle = plan_sample(strata, wish.se, Allocation::proportional, usual_minimum);
    const SamplePlan fewest = plan_sample(strata, wish.se, Allocation::optimal);

    const auto row = [&](std::size_t k) {
        return SampleRow{map_classes[k], class_m2[k] / m2_per_ha, strata[k].share,
                         expected[k],    middle.points[k],        fewest.points[k]};
    };
    write_csv(path, sample_columns(), map_classes.size(), row, bom);
    return {{"wanted_se_of_overall_accuracy", wish.se},
            {"points", middle.total},
            {"expected_se", middle.expected_se},
            {"points_at_least", fewest.total}};
}

FileColumns sample_table()
{
    return {"sample_points.csv", heads_of(sample_columns())};
}

} // namespace fuelring
