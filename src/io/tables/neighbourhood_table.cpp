// SPDX-License-Identifier: Apache-2.0
#include "io/tables/neighbourhood_table.hpp"

#include "io/tables/csv_table.hpp"

#include <fmt/format.h>

#include <numeric>

namespace fuelring {

namespace {

using Figure = std::optional<double>;

/// Makes the columns; each reads its figure of the row at a place.
class NeighbourhoodColumns {
public:
    explicit NeighbourhoodColumns(const RunTables& tables) : tables_(tables) {}

    void add_integer(std::string name,
                     std::optional<std::int64_t> (*number)(const NeighbourhoodRow&))
    {
        columns.push_back(
            integer_column<std::size_t>(std::move(name), [&t = tables_, number](std::size_t place) {
                return number(t.neighbourhoods[place]);
            }));
    }
    void add_real(std::string name, int decimals, Figure NeighbourhoodRow::*figure)
    {
        columns.push_back(real_column<std::size_t>(
            std::move(name), decimals,
            [&t = tables_, figure](std::size_t place) { return t.neighbourhoods[place].*figure; }));
    }
    /// Hectares out of a list, which a row without structures may not have.
    void add_hectares(std::string name, std::vector<Figure> NeighbourhoodRow::*list, std::size_t k)
    {
        columns.push_back(real_column<std::size_t>(
            std::move(name), decimals_of_metres, [&t = tables_, list, k](std::size_t place) {
                const std::vector<Figure>& figures = t.neighbourhoods[place].*list;
                return k < figures.size() ? figures[k] : Figure{};
            }));
    }
    void add_draws(std::string name, int decimals, Figure (*figure)(const NeighbourhoodDraws&))
    {
        columns.push_back(real_column<std::size_t>(
            std::move(name), decimals, [&t = tables_, figure](std::size_t place) {
                return figure(t.draws->neighbourhoods[place]);
            }));
    }

    std::vector<Column<std::size_t>> columns;

private:
    const RunTables& tables_;
};

} // namespace

std::vector<Column<std::size_t>> neighbourhood_table(const RunTables& tables)
{
    using Row = NeighbourhoodRow;
    const RingPlan& plan = tables.plan;
    const std::string near = within_label(plan, tables.near_ring);
    NeighbourhoodColumns made{tables};
    made.add_integer("rank", [](const Row& r) { return r.rank; });
    made.columns.push_back(text_column<std::size_t>("neighbourhood", [&tables](std::size_t place) {
        return tables.neighbourhoods[place].name;
    }));
    made.add_integer("structures", [](const Row& r) { return std::optional{r.structures}; });
    made.add_integer("structures_measured",
                     [](const Row& r) { return std::optional{r.structures_measured}; });
    made.add_integer("structures_known_within_" + near,
                     [](const Row& r) { return std::optional{r.structures_known_near}; });
    made.add_integer("structures_conifer_within_" + near,
                     [](const Row& r) { return std::optional{r.structures_near}; });
    made.add_real("mean_exposure", decimals_of_exposure, &Row::mean_exposure);
    made.add_real("p90_exposure", decimals_of_exposure, &Row::p90_exposure);
    made.add_real("sum_exposure", decimals_of_exposure, &Row::sum_exposure);
    for (std::size_t k = 0; k < plan.outer_m.size(); ++k)
        made.add_hectares("conifer_ha_within_" + within_label(plan, k), &Row::conifer_ha_within, k);
    for (std::size_t k = 0; k < plan.outer_m.size(); ++k)
        made.add_hectares("sum_conifer_ha_within_" + within_label(plan, k),
                          &Row::sum_conifer_ha_within, k);
    if (tables.community.owners) {
        std::size_t at = 0;
        for (std::size_t k = 0; k < plan.outer_m.size(); ++k)
            for (const std::string& kind : tables.community.owners->kinds())
                made.add_hectares(
                    fmt::format("conifer_ha_within_{}_{}", within_label(plan, k), kind),
                    &Row::conifer_ha_by_kind, at++);
    }
    if (!tables.community.susceptibility.empty())
        made.add_real("mean_exposure_x_susceptibility", decimals_of_exposure,
                      &Row::mean_exposure_x_susceptibility);
    if (tables.draws) {
        using Draws = NeighbourhoodDraws;
        made.add_draws("mean_exposure_p05", decimals_of_exposure,
                       [](const Draws& d) { return d.mean_exposure.p05; });
        made.add_draws("mean_exposure_p95", decimals_of_exposure,
                       [](const Draws& d) { return d.mean_exposure.p95; });
        made.add_draws("share_of_draws_in_first", decimals_of_fractions,
                       [](const Draws& d) { return d.in_first; });
    }
    return made.columns;
}

std::int64_t write_neighbourhoods_csv(const std::filesystem::path& path, const RunTables& tables,
                                      bool bom)
{
    std::vector<std::size_t> places(tables.neighbourhoods.size());
    std::iota(places.begin(), places.end(), std::size_t{0});
    return write_csv(path, neighbourhood_table(tables), places, bom);
}

} // namespace fuelring
