// SPDX-License-Identifier: Apache-2.0
#include "io/tables/neighbourhood_columns.hpp"

#include "io/tables/table_columns.hpp"

#include <fmt/format.h>

#include <limits>

namespace fuelring {

namespace {

using Kind = NeighbourhoodColumn::Kind;

double number(const std::optional<double>& value)
{
    return value.value_or(std::numeric_limits<double>::quiet_NaN());
}

} // namespace

std::vector<NeighbourhoodColumn> neighbourhood_columns(const RunTables& tables)
{
    const RingPlan& plan = tables.plan;
    const std::string near = within_label(plan, tables.near_ring);
    std::vector<NeighbourhoodColumn> columns = {
        {"rank", Kind::integer},
        {"neighbourhood", Kind::name},
        {"structures", Kind::integer},
        {"structures_measured", Kind::integer},
        {"structures_known_within_" + near, Kind::integer},
        {"structures_conifer_within_" + near, Kind::integer},
        {"mean_exposure", Kind::real, decimals_of_exposure},
        {"p90_exposure", Kind::real, decimals_of_exposure},
        {"sum_exposure", Kind::real, decimals_of_exposure},
    };
    for (const char* prefix : {"conifer_ha_within_", "sum_conifer_ha_within_"})
        for (std::size_t k = 0; k < plan.outer_m.size(); ++k)
            columns.push_back({prefix + within_label(plan, k), Kind::real, decimals_of_metres});
    if (tables.community.owners)
        for (std::size_t k = 0; k < plan.outer_m.size(); ++k)
            for (const std::string& kind : tables.community.owners->kinds())
                columns.push_back(
                    {fmt::format("conifer_ha_within_{}_{}", within_label(plan, k), kind),
                     Kind::real, decimals_of_metres});
    if (!tables.community.susceptibility.empty())
        columns.push_back({"mean_exposure_x_susceptibility", Kind::real, decimals_of_exposure});
    if (tables.draws) {
        columns.push_back({"mean_exposure_p05", Kind::real, decimals_of_exposure});
        columns.push_back({"mean_exposure_p95", Kind::real, decimals_of_exposure});
        columns.push_back({"share_of_draws_in_first", Kind::real, decimals_of_fractions});
    }
    return columns;
}

std::vector<double> neighbourhood_numbers(const RunTables& tables, std::size_t place)
{
    const NeighbourhoodRow& row = tables.neighbourhoods[place];
    const std::optional<double> none;
    const std::optional<double> rank =
        row.rank ? std::optional{static_cast<double>(*row.rank)} : none;
    std::vector<double> numbers = {number(rank),
                                   number(none),
                                   static_cast<double>(row.structures),
                                   static_cast<double>(row.structures_measured),
                                   static_cast<double>(row.structures_known_near),
                                   static_cast<double>(row.structures_near),
                                   number(row.mean_exposure),
                                   number(row.p90_exposure),
                                   number(row.sum_exposure)};
    for (const auto* hectares : {&row.conifer_ha_within, &row.sum_conifer_ha_within})
        for (const std::optional<double>& ha : *hectares)
            numbers.push_back(number(ha));
    if (const auto& owners = tables.community.owners) {
        const std::size_t columns = row.conifer_ha_within.size() * owners->kind_count();
        for (std::size_t k = 0; k < columns; ++k) // a row without structures has none
            numbers.push_back(k < row.conifer_ha_by_kind.size() ? number(row.conifer_ha_by_kind[k])
                                                                : number(none));
    }
    if (!tables.community.susceptibility.empty())
        numbers.push_back(number(row.mean_exposure_x_susceptibility));
    if (tables.draws) {
        const NeighbourhoodDraws& draws = tables.draws->neighbourhoods[place];
        numbers.insert(numbers.end(), {number(draws.mean_exposure.p05),
                                       number(draws.mean_exposure.p95), number(draws.in_first)});
    }
    return numbers;
}

} // namespace fuelring
