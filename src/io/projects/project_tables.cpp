// SPDX-License-Identifier: Apache-2.0

// Tables of an appraisal. CSV and GeoPackage share their columns; the CSV of projects has the
// caution as one more, in every row.
#include "io/projects/project_tables.hpp"

#include "base/caution.hpp"
#include "geometry/geos.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/geopackage/gpkg_file.hpp"
#include "io/tables/address_table.hpp"
#include "io/tables/column.hpp"
#include "io/tables/csv_table.hpp"
#include "io/tables/run_labels.hpp"

#include <cctype>
#include <set>

namespace fuelring {

namespace {

/// What columns of an appraisal depend on.
struct ProjectLabels {
    Labels thresholds, rings, owners, neighbourhoods;
    Labels people; ///< thresholds, where there are people
};

/// Names as they stand, a number behind those that a table would take for the same.
Labels labels_of(const std::vector<std::string>& names)
{
    std::set<std::string> met;
    Labels labels;
    for (const std::string& name : names) {
        std::string unique = name;
        const auto key = [](std::string text) {
            for (char& c : text)
                c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
            return text;
        };
        for (int n = 2; !met.insert(key(unique)).second; ++n)
            unique = fmt::format("{}_{}", name, n);
        labels.push_back({unique, name});
    }
    return labels;
}

Labels labels_of(const std::vector<double>& thresholds)
{
    Labels labels;
    for (const double points : thresholds)
        labels.push_back({fmt::format("{:g}", points), fmt::format("{:g}", points)});
    return labels;
}

/// What it costs, for what, and how good that is.
ColumnGroup<ProjectRow> columns_of_money()
{
    using namespace unit;
    using R = ProjectRow;
    return {
        when(true),
        {{"cost", "Cost", money, &R::cost,
          "sum over the polygons, in the money of the file; empty if one of them names none"},
         {"cost_per_treated_ha", "Cost per hectare of treated conifers", money,
          [](const R& r) {
              return ratio(r.cost, hectares(r.treated_conifer_m2()), least_divisor::ha);
          },
          "by `treated_conifer_ha`, `exposure_removed`; empty if there is nothing to divide by"},
         {"cost_per_point", "Cost per point", money,
          [](const R& r) { return ratio(r.cost, r.exposure_removed, least_divisor::points); }},
         {"share_of_best", "Share of best", share, [](const R& r) { return r.share_of_best(); },
          "`exposure_removed` as a share of the most that clearing as many hectares of conifers "
          "anywhere could remove (cell by cell, without regard to owners or access)"},
         {"chosen", "Chosen", none, &R::chosen,
          "with `appraise.budget`: 1 if the project is one of those that remove most within it"},
         {"polygon", "Polygon", none, &R::polygon, "feature id; how many; empty if they differ"},
         {"polygons", "Polygons", none, &R::polygons},
         {"leaves", "Leaves", share, &R::leaves},
         {"year", "Year", none, &R::year},
         {"reach_ha", "In reach", planned_ha,
          [](const R& r) { return hectares(r.reach().ground_m2); },
          "the part of the area within the widest distance of a structure, under no roof; of it "
          "unmapped, where conifers are unknown, not zero"},
         {"unmapped_ha", "Unmapped", planned_ha,
          [](const R& r) { return hectares(r.reach().unmapped_m2); }},
         {"cost_per_ha", "Cost per hectare", money,
          [](const R& r) { return ratio(r.cost, hectares(r.area_m2), least_divisor::ha); },
          "by `area_ha`"}}};
}

std::vector<Column<ProjectRow>> project_columns(const ProjectLabels& labels)
{
    using namespace unit;
    using R = ProjectRow;
    return laid_out<R>({
        {when(true),
         {{"scope", "Scope", none, [](const R& r) { return name_of(r.scope); },
           "scope: `project`: all polygons of one name; `polygon`: one of them; `all`: all "
           "projects; with `appraise.budget` also `chosen`: those that it chooses. Land that "
           "polygons share is in each of them, and counts once in the rows of "
           "projects and of all; where they leave different shares, the smallest holds"},
          {"project", "Project", none, &R::project, "its name; `(all)` in the last row"},
          {"area_ha", "Area", planned_ha, [](const R& r) { return hectares(r.area_m2); },
           "the drawn area"},
          {"conifer_ha", "Conifer", planned_ha,
           [](const R& r) { return hectares(r.reach().conifer_m2); },
           "conifers in it within the widest distance of a structure, under no roof"},
          {"treated_conifer_ha", "Treated conifer", planned_ha,
           [](const R& r) { return hectares(r.treated_conifer_m2()); },
           "`conifer_ha` less what is left"},
          {"exposure_removed", "Exposure removed", points, &R::exposure_removed,
           "percentage points, summed over structures"}}},
        {labels.thresholds,
         {{"homes_helped_{}", "Homes that improve by {} points or more", none,
           [](const R& r, std::size_t k) { return r.homes[k]; },
           "homes (all structures, unless `inputs.structures.homes` says which are) that fall by "
           "so "
           "many points or more (`appraise.thresholds`)"}}},
        columns_of_money(),
        {labels.people,
         {{"people_helped_{}", "People in homes that improve by {} points or more", people_count,
           [](const R& r, std::size_t k) { return r.people[k]; },
           "people who live in structures that fall by so many points or more; with "
           "`inputs.structures.people`"}}},
        {labels.rings,
         {{"conifer_ha_{}", "Conifer {}", planned_ha,
           [](const R& r, std::size_t k) { return hectares(r.ground.rings[k].conifer_m2); },
           "the same in ring L around any structure, nothing counted twice"},
          {"treated_conifer_ha_{}", "Treated conifer {}", planned_ha,
           [](const R& r, std::size_t k) { return hectares(r.ground.treated_m2[k]); }}}},
        {labels.owners,
         {{"conifer_ha_{}", "Conifer {}", planned_ha,
           [](const R& r, std::size_t k) { return hectares(r.ground.owner_m2[k]); },
           "the same by owner category, with `[inputs.parcels]`"},
          {"treated_conifer_ha_{}", "Treated conifer {}", planned_ha,
           [](const R& r, std::size_t k) { return hectares(r.ground.owner_treated_m2[k]); }}}},
        {labels.neighbourhoods,
         {{"conifer_ha_in_{}", "Conifer in {}", planned_ha,
           [](const R& r, std::size_t k) { return hectares(r.ground.neighbourhood_m2[k]); },
           "the same by the neighbourhood that the land is in; the points that its homes fall by, "
           "wherever the conifers are"},
          {"treated_conifer_ha_in_{}", "Treated conifer in {}", planned_ha,
           [](const R& r, std::size_t k) {
               return hectares(r.ground.neighbourhood_treated_m2[k]);
           }},
          {"exposure_removed_in_{}", "Exposure removed in {}", points,
           [](const R& r, std::size_t k) { return r.removed_from[k]; }}}},
    });
}

/// The last column of a CSV, which has no metadata.
std::vector<Column<ProjectRow>> with_note(std::vector<Column<ProjectRow>> columns)
{
    columns.push_back({"note", "Note", unit::none,
                       [](const ProjectRow&) { return projects_caution(); },
                       "proposed, not done, and the caution, in every row"});
    return columns;
}

/// A structure in an appraisal.
struct HomeRow {
    const ProjectAccount& account;
    const Structure& structure;
    std::size_t i;
};

/// `projects`: the rows of the account that are projects, with a label each.
std::vector<Column<HomeRow>> home_columns(const Labels& projects)
{
    using namespace unit;
    using R = HomeRow;
    return laid_out<R>({
        {when(true),
         {{"structure_id", "Structure", none, [](const R& r) { return r.structure.id; },
           "as in `addresses.csv`"},
          {"exposure_before", "Exposure before", of_100,
           [](const R& r) { return r.account.before[r.i]; },
           "of the structure as it is, and if all projects were done"},
          {"exposure_after", "Exposure after", of_100,
           [](const R& r) { return r.account.after(r.account.rows.size() - 1, r.i); }}}},
        {projects,
         {{"exposure_after_{}", "Exposure after {}", of_100,
           [](const R& r, std::size_t k) { return r.account.after(k, r.i); },
           "if this project alone were done"}}},
    });
}

Labels projects_of(const ProjectAccount& account)
{
    // Projects come first.
    std::vector<std::string> names;
    for (const ProjectRow& row : account.rows)
        if (row.scope == ProjectGroup::Scope::project)
            names.push_back(row.project);
    return labels_of(names);
}

std::vector<Column<ProjectRow>> columns_of(const ProjectTables& t)
{
    ProjectLabels labels{labels_of(t.account.thresholds), RunLabels{t.plan, 0}.rings, {}, {}, {}};
    if (t.community.tells_people)
        labels.people = labels.thresholds;
    for (const std::string& owner : t.account.owners)
        labels.owners.push_back(owner_label(owner));
    labels.neighbourhoods = labels_of(t.account.neighbourhoods);
    return project_columns(labels);
}

auto home_rows(const ProjectTables& t)
{
    return [&t](std::size_t i) { return HomeRow{t.account, t.community.structures[i], i}; };
}

} // namespace

std::string projects_caution()
{
    return "Proposed, not done. " + std::string{caution} +
           " Every project needs a site visit, the owners' consent and a check of local rules. " +
           licensed_work;
}

void write_projects_csv(const std::filesystem::path& path, const ProjectTables& tables, bool bom)
{
    write_csv(path, with_note(columns_of(tables)), tables.account.rows, bom);
}

void write_project_exposure_csv(const std::filesystem::path& path, const ProjectTables& tables,
                                bool bom)
{
    write_csv(path, home_columns(projects_of(tables.account)), tables.community.structures.size(),
              home_rows(tables), bom);
}

void write_projects_gpkg(const std::filesystem::path& path, const ProjectTables& tables)
{
    GpkgFile file{path, tables.crs, projects_caution()};
    const std::vector<ProjectRow>& rows = tables.account.rows;
    add_layer(
        file, "projects", GpkgFile::Shape::multipolygon, columns_of(tables), rows.size(),
        [&](std::size_t r) -> const ProjectRow& { return rows[r]; },
        [&](std::size_t r) {
            return rows[r].shape.empty()
                       ? std::string{}
                       : wkb_multipolygon(footprint_of(rows[r].shape), CellFrame{}, tables.grid);
        });
    const std::vector<Structure>& homes = tables.community.structures;
    add_layer(file, "project_exposure", GpkgFile::Shape::point,
              home_columns(projects_of(tables.account)), homes.size(), home_rows(tables),
              [&](std::size_t i) { return wkb_point(homes[i].inside); });
    file.finish();
}

std::vector<FileColumns> project_tables()
{
    const Labels owner{{"CLASS", "CLASS"}};
    const Labels name{{"NAME", "NAME"}};
    return {{"projects.csv", heads_of(with_note(project_columns(
                                 {{{"P", "P"}}, {{"L", "L"}}, owner, name, {{"P", "P"}}})))},
            {"project_exposure.csv", heads_of(home_columns(name))}};
}

} // namespace fuelring
