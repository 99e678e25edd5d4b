// SPDX-License-Identifier: Apache-2.0
#include "picture.hpp"
#include "report/history_lines.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// A history of two rows a run; a date is empty where the run had none.
PictureTable history_of(const std::vector<std::string>& dates,
                        const std::vector<std::string>& methods, const std::vector<double>& means)
{
    std::vector<std::string> date, method, name;
    std::vector<double> mean;
    for (std::size_t k = 0; k < dates.size(); ++k)
        for (const char* row : {"Fern Bank", "(community)"}) {
            date.push_back(dates[k]);
            method.push_back(methods[k]);
            name.emplace_back(row);
            mean.push_back(means[k] + (name.size() % 2 == 1 ? 1 : 0));
        }
    return {{texts("imagery_date", date), texts("method", method), texts("neighbourhood", name),
             numbers("mean_exposure", mean)},
            date.size()};
}

const std::vector<std::string> neighbourhood_names{"Fern Bank", "New Bank", "(community)"};

} // namespace

TEST_CASE("lines follow the dates of the imagery; the last run on a date counts")
{
    const HistoryLines lines = history_lines(
        history_of({"2026-07-10", "2024-07-15", "2025", "2026-07-10T10:00:00", "summer 2023"},
                   {"m", "m", "m", "m", "m"}, {4, 9, 7, 5, 3}),
        neighbourhood_names);
    CHECK((lines.dates == std::vector<std::string>{"2024-07-15", "2025", "2026-07-10"}));
    CHECK((lines.mean_exposure.at("(community)") == std::vector<double>{9, 7, 5}));
    CHECK((lines.mean_exposure.at("Fern Bank") == std::vector<double>{10, 8, 6}));
    for (const double mean : lines.mean_exposure.at("New Bank"))
        CHECK(std::isnan(mean));
    CHECK(lines.years[0] == doctest::Approx(2024.54).epsilon(1e-5));
    CHECK(lines.years[1] == doctest::Approx(2025.5).epsilon(1e-4));
    CHECK(lines.other_methods == 0);
    CHECK(!lines.empty());
}

TEST_CASE("what another method measured is left out, and said")
{
    const HistoryLines lines = history_lines(
        history_of({"2022", "2023", "2024", "2023"}, {"old", "old", "m", "m"}, {1, 2, 3, 4}),
        neighbourhood_names);
    CHECK((lines.dates == std::vector<std::string>{"2023", "2024"}));
    CHECK((lines.mean_exposure.at("(community)") == std::vector<double>{4, 3}));
    CHECK(lines.other_methods == 1); // 2022; of 2023 there is one by this method
    CHECK(history_lines(history_of({"2024", "2024"}, {"m", "m"}, {1, 2}), neighbourhood_names)
              .empty());
    CHECK(history_lines({}, neighbourhood_names).empty());
}

TEST_CASE("names, dates and methods that look like numbers are texts all the same")
{
    PictureTable table;
    table.rows = 4;
    table.columns = {numbers("imagery_date", {2023, 2023, 2024, 2024}),
                     numbers("method", {1234567, 1234567, 1234567, 1234567}),
                     numbers("neighbourhood", {1, 2, 1, 2}),
                     numbers("mean_exposure", {5, 6, 7, 8})};
    const HistoryLines lines = history_lines(table, {"1", "2"});
    CHECK((lines.mean_exposure.at("1") == std::vector<double>{5, 7}));
    CHECK((lines.mean_exposure.at("2") == std::vector<double>{6, 8}));
}
