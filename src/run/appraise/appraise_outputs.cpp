// SPDX-License-Identifier: Apache-2.0
#include "run/appraise/appraise_outputs.hpp"

#include "base/grouped.hpp"
#include "exposure/areas.hpp"
#include "io/projects/project_tables.hpp"
#include "run/config/config.hpp"
#include "run/inputs/systems.hpp"
#include "run/manifest/manifest.hpp"
#include "run/schedule/parallel.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

namespace fuelring {

using nlohmann::json;

const std::vector<std::string> files_of_appraise{"projects.csv", "projects.csvt",
                                                 "project_exposure.csv", "project_exposure.csvt",
                                                 "projects.gpkg"};

namespace {

constexpr std::size_t projects_told = 10; ///< lines for people; the table has them all

json number_or_null(std::optional<double> number)
{
    return number && std::isfinite(*number) ? json(*number) : json();
}

json row_json(const ProjectRow& row, const std::vector<double>& thresholds)
{
    json all{{"project", row.project},
             {"polygons", row.polygons},
             {"area_ha", row.area_m2 / m2_per_ha},
             {"conifer_ha", number_or_null(row.reach().conifer_m2 / m2_per_ha)},
             {"treated_conifer_ha", number_or_null(row.treated_conifer_m2() / m2_per_ha)},
             {"unmapped_ha", number_or_null(row.reach().unmapped_m2 / m2_per_ha)},
             {"exposure_removed", row.exposure_removed},
             {"cost", number_or_null(row.cost)},
             {"share_of_best", number_or_null(row.share_of_best())}};
    for (std::size_t k = 0; k < thresholds.size(); ++k)
        all[fmt::format("homes_helped_{:g}", thresholds[k])] = row.homes[k];
    return all;
}

/// The threshold that texts speak of: that of 1 point, or the middle one.
std::size_t told_threshold(const std::vector<double>& thresholds)
{
    const auto one = std::find(thresholds.begin(), thresholds.end(), 1.0);
    return one == thresholds.end() ? thresholds.size() / 2
                                   : static_cast<std::size_t>(one - thresholds.begin());
}

std::string home_words(const ProjectRow& row, const std::vector<double>& thresholds)
{
    const std::size_t k = told_threshold(thresholds);
    return fmt::format("{} homes improve by {:g} point{} or more", grouped(row.homes[k]),
                       thresholds[k], thresholds[k] == 1 ? "" : "s");
}

std::string cost_words(const ProjectRow& row, const std::string& currency)
{
    return row.cost ? fmt::format(", for about {}", grouped_money(*row.cost, currency))
                    : std::string{};
}

/// Names of the projects that a budget chooses.
std::vector<std::string> chosen_names(const ProjectAccount& account)
{
    std::vector<std::string> names;
    for (const std::uint32_t k : account.choice->chosen)
        names.push_back(account.rows[k].project); // projects come first
    return names;
}

std::int64_t without_cost(const ProjectAccount& account)
{
    return std::count_if(account.rows.begin(), account.rows.end(), [](const ProjectRow& row) {
        return row.scope == ProjectGroup::Scope::project && !row.cost;
    });
}

json choice_json(const ProjectAccount& account, double budget)
{
    if (!account.choice)
        return nullptr;
    return {{"budget", budget},
            {"chosen", chosen_names(account)},
            {"exposure_removed", account.choice->points},
            {"most_exposure_removable", account.choice->most_points},
            {"proved_best", account.choice->proved_best},
            {"projects_without_cost", without_cost(account)}};
}

void say_choice(const ProjectAccount& account, const Config& config, Log& log)
{
    if (!account.choice)
        return;
    const ProjectChoice& choice = *account.choice;
    const std::string best = choice.proved_best
                                 ? std::string{"no other choice of these projects removes more"}
                                 : fmt::format("no other choice can remove more than {}",
                                               grouped_tenths(choice.most_points));
    log.info(fmt::format("within {}: {}, which removes {} points; {}",
                         grouped_money(config.appraise.budget.value_or(0), config.report.currency),
                         choice.chosen.empty()
                             ? std::string{"no project"}
                             : fmt::format("{}", fmt::join(chosen_names(account), ", ")),
                         grouped_tenths(choice.points), best));
    if (const std::int64_t n = without_cost(account))
        log.warn(fmt::format("{} project{} no cost and cannot be chosen", n,
                             n == 1 ? " has" : "s have"));
}

} // namespace

void write_appraisal(const std::filesystem::path& staging, const ProjectAccount& account,
                     const Inputs& inputs, const Config& config, int jobs)
{
    const ProjectTables tables{account, inputs.community, config.rings, inputs.raster->grid(),
                               inputs.raster->crs()};
    const bool bom = config.output.csv_bom;
    run_in_parallel(
        jobs, {[&] { write_projects_gpkg(staging / "projects.gpkg", tables); },
               [&] { write_projects_csv(staging / "projects.csv", tables, bom); },
               [&] { write_project_exposure_csv(staging / "project_exposure.csv", tables, bom); }});
}

json appraisal_json(const ProjectAccount& account, const ProjectSource& source,
                    const ProjectLayer& layer, const Warnings& warnings,
                    const AppraiseSettings& settings)
{
    json projects = json::array();
    for (const ProjectRow& row : account.rows)
        if (row.scope == ProjectGroup::Scope::project)
            projects.push_back(row_json(row, account.thresholds));
    json warned = json::array();
    for (const Warning& w : warnings)
        warned.push_back(
            {{"key", w.key}, {"text", w.text}, {"count", w.count}, {"examples", w.examples}});
    return {{"note", projects_caution()},
            {"source", {{"path", source.path}, {"layer", source.layer}}},
            {"systems", systems_json({layer.crs})},
            {"thresholds", account.thresholds},
            {"sum_exposure_before", account.sum_before()},
            {"sum_exposure_after", account.sum_before() - account.all().exposure_removed},
            {"structures", account.before.size()},
            {"structures_measured",
             std::count_if(account.before.begin(), account.before.end(),
                           [](const auto& exposure) { return exposure.has_value(); })},
            {"all", row_json(account.all(), account.thresholds)},
            {"projects", projects},
            {"choice", choice_json(account, settings.budget.value_or(0))},
            {"warnings", warned}};
}

void say_appraisal(const ProjectAccount& account, const Config& config, Log& log)
{
    const double before = account.sum_before();
    const auto percent = [&](const ProjectRow& row) {
        return before > 0 ? 100 * row.exposure_removed / before : 0;
    };
    const std::string& currency = config.report.currency;
    std::size_t told = 0;
    std::int64_t projects = 0;
    for (const ProjectRow& row : account.rows) {
        if (row.scope != ProjectGroup::Scope::project)
            continue;
        ++projects;
        if (told++ < projects_told)
            log.info(fmt::format("  {}: {:.2f} ha of conifers, {} points ({:.1f}%), {}{}",
                                 row.project, row.treated_conifer_m2() / m2_per_ha,
                                 grouped_tenths(row.exposure_removed), percent(row),
                                 home_words(row, account.thresholds), cost_words(row, currency)));
    }
    if (told > projects_told)
        log.info(fmt::format("  and {} more in projects.csv", told - projects_told));
    const ProjectRow& all = account.all();
    log.info(fmt::format("{} projects on {:.2f} ha: {:.2f} ha of conifers within {:g} m of a "
                         "building, of which {:.2f} ha are taken{}",
                         grouped(projects), all.area_m2 / m2_per_ha,
                         all.reach().conifer_m2 / m2_per_ha, config.rings.widest_m(),
                         all.treated_conifer_m2() / m2_per_ha, cost_words(all, currency)));
    log.info(fmt::format("doing them all would cut total exposure ({} points) by {}, which "
                         "is {:.1f}%; {}",
                         grouped_tenths(before), grouped_tenths(all.exposure_removed), percent(all),
                         home_words(all, account.thresholds)));
    if (const auto share = all.share_of_best())
        log.info(fmt::format("clearing as many hectares where they help most could remove at most "
                             "{} points: the projects reach {:.0f}% of that",
                             grouped_tenths(*all.best), 100 * *share));
    say_choice(account, config, log);
    if (all.reach().unmapped_m2 > 0.01 * all.reach().ground_m2)
        log.warn(fmt::format("{:.2f} ha of the projects near buildings are unmapped: conifers "
                             "there are unknown, not zero",
                             all.reach().unmapped_m2 / m2_per_ha));
    log.info(projects_caution());
}

} // namespace fuelring
