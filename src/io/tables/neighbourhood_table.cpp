// SPDX-License-Identifier: Apache-2.0

// Every column of the neighbourhoods' table, each once, as in address_table.cpp. What the public
// does not get hangs on the labels alone: without `office` these columns are left out.
#include "io/tables/neighbourhood_table.hpp"

#include "io/tables/csv_table.hpp"

namespace fuelring {

namespace {

/// One of a list, which a row without structures may not have.
template <std::vector<std::optional<double>> NeighbourhoodRow::*List>
std::optional<double> one_of(const Neighbourhood& row, std::size_t k)
{
    const std::vector<std::optional<double>>& figures = row.*List;
    return k < figures.size() ? figures[k] : std::nullopt;
}

ColumnGroup<Neighbourhood> columns_of_rank()
{
    using namespace unit;
    using R = Neighbourhood;
    return {
        when(true),
        {{"rank", "Rank", none, &R::rank,
          "1 is the highest `mean_exposure` (or `output.rank_by`). Equal means (4 decimals) share "
          "a rank and are listed by name. Empty where less than half of the structures are "
          "measured: these come last, by name"},
         {"neighbourhood", "Neighbourhood", none, &R::name,
          "its name ([below](#which-neighbourhood))"},
         {"structures", "Structures", none, &R::structures, "how many"},
         {"structures_measured", "Structures measured", none, &R::structures_measured,
          "how many of them have an exposure ([Known and "
          "unknown](numbers.md#known-and-unknown))"}}};
}

/// With `[uncertainty]`.
ColumnGroup<Neighbourhood> columns_of_draws(const RunLabels& labels)
{
    using namespace unit;
    using R = Neighbourhood;
    return {
        labels.draws,
        {{"mean_exposure_p05", "Mean exposure p05", of_100,
          [](const R& r) { return r.draws.mean_exposure.p05; },
          "only with `[uncertainty]`: 5th and 95th percentile of the mean exposure over the "
          "draws"},
         {"mean_exposure_p95", "Mean exposure p95", of_100,
          [](const R& r) { return r.draws.mean_exposure.p95; }},
         {"share_of_draws_in_first", "Draws in which it is among the first", share,
          [](const R& r) { return r.draws.in_first; },
          "only with `[uncertainty]`: share of the draws in which the neighbourhood is among the "
          "first tenth, or `uncertainty.first_neighbourhoods`"},
         {"flags", "Flags", none,
          [](const R& r) {
              const bool outside = is_outside(r.draws.mean_exposure, r.mean_exposure);
              return std::string{outside ? name_of(Flag::outside_draws) : ""};
          },
          "only with `[uncertainty]`: `outside_draws` where `mean_exposure` is outside the range "
          "of its own draws ([how to quote it](numbers.md#registration))"}}};
}

} // namespace

std::vector<Column<Neighbourhood>> neighbourhood_columns(const RunLabels& labels)
{
    using namespace unit;
    using R = Neighbourhood;
    const Labels sums = labels.office.empty() ? Labels{} : labels.distances;
    return laid_out<R>({
        columns_of_rank(),
        {labels.near,
         {{"structures_known_within_{}", "Structures known within {}", none,
           &R::structures_known_near,
           "for how many of these it is known whether conifers grow within N = `rings.near_m` of "
           "the wall: some do, or at least half of that ground is mapped"},
          {"structures_conifer_within_{}", "Structures conifer within {}", none,
           &R::structures_near, "how many of these have a conifer cell within N of the wall"}}},
        {when(true),
         {{"mean_exposure", "Mean exposure", of_100, &R::mean_exposure,
           "over the measured structures; nine tenths of them lie below p90 (linear between the "
           "two nearest)"}}},
        {labels.office,
         {{"p90_exposure", "P90 exposure", of_100, &R::p90_exposure},
          {"sum_exposure", "Summed exposure", points, &R::sum_exposure,
           "summed over the measured structures"}}},
        {labels.distances,
         {{"conifer_ha_within_{}", "Conifer within {}", neighbourhood_ha,
           one_of<&R::conifer_ha_within>,
           "conifers within D of any of its structures, as far as they are mapped: what there is "
           "to treat. Ground near several structures counts once, and their roofs do not count"}}},
        {sums,
         {{"sum_conifer_ha_within_{}", "Sum conifer within {}", neighbourhood_ha,
           one_of<&R::sum_conifer_ha_within>,
           "the same summed over structures: ground near several counts several times. This is how "
           "many times it matters"}}},
        {labels.distance_owners,
         {{"conifer_ha_within_{}", "Conifer within {}", neighbourhood_ha,
           one_of<&R::conifer_ha_by_kind>,
           "only with `[inputs.parcels]`: `conifer_ha_within_Dm` by owner category, in "
           "alphabetical order, last `no_parcel`; they add up to it"}}},
        {labels.multipliers,
         {{"mean_exposure_x_susceptibility", "Mean exposure x susceptibility", points,
           &R::mean_exposure_x_susceptibility, "only with attributes of structures"}}},
        {labels.homes,
         {{"homes", "Homes", none, &R::homes,
           "only with `inputs.structures.homes`: how many of the structures are homes, and how "
           "many of these have a conifer cell within N of the wall"}}},
        {labels.near_homes,
         {{"homes_conifer_within_{}", "Homes conifer within {}", none, &R::homes_near}}},
        {labels.people,
         {{"people", "People", people_count, &R::people,
           "only with `inputs.structures.people`: people in the structures that say so, and those "
           "of them with a conifer cell within N of the wall"}}},
        {labels.near_people,
         {{"people_conifer_within_{}", "People conifer within {}", people_count, &R::people_near}}},
        columns_of_draws(labels),
    });
}

std::vector<Neighbourhood> neighbourhoods_of(const RunTables& tables)
{
    std::vector<Neighbourhood> rows;
    for (const NeighbourhoodRow& row : tables.neighbourhoods)
        rows.push_back(
            {row, tables.draws ? tables.draws->neighbourhoods[rows.size()] : NeighbourhoodDraws{}});
    return rows;
}

std::int64_t write_neighbourhoods_csv(const std::filesystem::path& path, const RunTables& tables,
                                      bool bom)
{
    return write_csv(path, neighbourhood_columns(RunLabels{tables}), neighbourhoods_of(tables),
                     bom);
}

} // namespace fuelring
