// SPDX-License-Identifier: Apache-2.0
#include "io/tables/sensitivity_out.hpp"

#include "io/tables/csv_table.hpp"

namespace fuelring {

namespace {

struct SensitiveHome {
    const Structure& structure;
    const StructureResult& result;
    const StructureSensitivity& trials;
};

std::vector<Column<SensitiveHome>> sensitive_home_columns()
{
    using namespace unit;
    using R = SensitiveHome;
    return {
        {"structure_id", "Structure", none, [](const R& r) { return r.structure.id; },
         "as in `addresses.csv`"},
        {"rank", "Rank", none, [](const R& r) { return r.result.rank; }, "in the run"},
        {"rank_best", "Highest rank", none, [](const R& r) { return r.trials.rank.best; },
         "highest and lowest rank in any trial"},
        {"rank_worst", "Lowest rank", none, [](const R& r) { return r.trials.rank.worst; }},
        {"in_first_share", "Share of trials among the first", share,
         [](const R& r) { return r.trials.rank.in_first; },
         "share of the trials in which it is among the first (`sensitivity.first`)"},
        {"exposure", "Exposure", of_100, [](const R& r) { return r.result.exposure; },
         "in the run; lowest and highest in any trial"},
        {"exposure_lowest", "Lowest exposure", of_100, [](const R& r) { return r.trials.lowest; }},
        {"exposure_highest", "Highest exposure", of_100,
         [](const R& r) { return r.trials.highest; }},
        {"exposure_expected", "Expected exposure", of_100,
         [](const R& r) { return r.trials.expected; },
         "with `sensitivity.confusion`: what the exposure is on average if the raster errs as the "
         "matrix says, and the standard deviation of its draws"},
        {"exposure_spread", "Spread of exposure", points,
         [](const R& r) { return r.trials.spread; }}};
}

std::vector<Column<NeighbourhoodSensitivity>> sensitive_neighbourhood_columns()
{
    using namespace unit;
    using R = NeighbourhoodSensitivity;
    return {
        {"neighbourhood", "Neighbourhood", none, &R::name, "those with a rank"},
        {"rank", "Rank", none, &R::rank, "in the run"},
        {"rank_best", "Highest rank", none, [](const R& r) { return r.range.best; },
         "highest and lowest rank in any trial, and with resampled homes"},
        {"rank_worst", "Lowest rank", none, [](const R& r) { return r.range.worst; }},
        {"in_first_share", "Share of trials among the first", share,
         [](const R& r) { return r.range.in_first; },
         "share of the trials in which it is among the first "
         "(`sensitivity.first_neighbourhoods`)"},
        {"mean_exposure_lowest", "Lowest mean exposure", of_100, &R::lowest,
         "of its homes, in any trial (not of resampled homes)"},
        {"mean_exposure_highest", "Highest mean exposure", of_100, &R::highest},
        {"above_next_share", "Share of trials above the next", share, &R::above_next,
         "share of the trials in which it ranks above the next row, ties counting half"},
        {"toss_up", "Toss-up", none,
         [](const R& r) { return static_cast<std::int64_t>(r.group) + 1; },
         "rows with the same number are a toss-up: neighbours in the ranking that change places in "
         "more than 10% of the trials (planning default)"}};
}

} // namespace

void write_sensitivity_csv(const std::filesystem::path& path, const RunTables& tables,
                           const SensitivityFindings& findings, bool bom)
{
    std::vector<std::size_t> order; // of addresses.csv, each structure once
    std::vector<bool> seen(tables.results.size());
    for (const AddressRow& row : tables.rows)
        if (!seen[row.structure]) {
            seen[row.structure] = true;
            order.push_back(row.structure);
        }
    const auto row = [&](std::size_t k) {
        const std::size_t i = order[k];
        return SensitiveHome{tables.community.structures[i], tables.results[i],
                             findings.structures[i]};
    };
    write_csv(path, sensitive_home_columns(), order.size(), row, bom);
}

void write_sensitivity_neighbourhoods_csv(const std::filesystem::path& path,
                                          const SensitivityFindings& findings, bool bom)
{
    write_csv(path, sensitive_neighbourhood_columns(), findings.neighbourhoods, bom);
}

std::vector<FileColumns> sensitivity_tables()
{
    return {{"sensitivity.csv", heads_of(sensitive_home_columns())},
            {"sensitivity_neighbourhoods.csv", heads_of(sensitive_neighbourhood_columns())}};
}

} // namespace fuelring
