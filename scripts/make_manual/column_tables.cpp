// SPDX-License-Identifier: Apache-2.0

// The columns of every table that the program writes, from the tables of columns that it writes
// them by.
#include "io/comparison/change_tables.hpp"
#include "io/comparison/reference_layer.hpp"
#include "io/projects/project_tables.hpp"
#include "io/tables/address_table.hpp"
#include "io/tables/neighbourhood_table.hpp"
#include "io/tables/sensitivity_out.hpp"
#include "io/tables/treatment_out.hpp"
#include "manual.hpp"
#include "run/classify/words/class_tables.hpp"
#include "run/compare/sample_points.hpp"
#include "run/history/changes.hpp"
#include "run/history/history.hpp"

#include <algorithm>

namespace fuelring::manual {

namespace {

/// The columns of addresses.csv that an input brings.
FileColumns brought_by(const char* input, std::initializer_list<Labels RunLabels::*> its_labels)
{
    const RunLabels all = RunLabels::of_manual();
    RunLabels without = all;
    for (const auto labels : its_labels)
        (without.*labels).clear();
    const std::vector<ColumnHead> others = heads_of(address_columns(without));
    std::vector<ColumnHead> heads = heads_of(address_columns(all));
    std::erase_if(heads, [&others](const ColumnHead& head) {
        return std::any_of(others.begin(), others.end(),
                           [&head](const ColumnHead& other) { return other.name == head.name; });
    });
    return {std::string{"addresses.csv with "} + input, heads};
}

} // namespace

std::vector<FileColumns> all_tables()
{
    using L = RunLabels;
    const RunLabels labels = L::of_manual();
    L plain = labels;
    for (const auto optional : {&L::heights, &L::parcels, &L::multipliers, &L::draws,
                                &L::ring_owners, &L::ring_draws, &L::homes, &L::people})
        (plain.*optional).clear();
    std::vector<FileColumns> all{{"addresses.csv", heads_of(address_columns(plain))},
                                 brought_by("heights", {&L::heights}),
                                 brought_by("parcels", {&L::parcels, &L::ring_owners}),
                                 brought_by("attributes", {&L::multipliers}),
                                 brought_by("homes", {&L::homes, &L::people}),
                                 brought_by("uncertainty", {&L::draws, &L::ring_draws}),
                                 {"neighbourhoods.csv", heads_of(neighbourhood_columns(labels))},
                                 changes_table(),
                                 history_table(),
                                 sample_table()};
    for (const auto& tables : {treatment_tables(), project_tables(), comparison_tables(),
                               reference_tables(), sensitivity_tables(), classify_tables()})
        all.insert(all.end(), tables.begin(), tables.end());
    return all;
}

} // namespace fuelring::manual
