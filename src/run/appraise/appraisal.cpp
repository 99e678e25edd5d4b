// SPDX-License-Identifier: Apache-2.0

// The account as a paragraph: every home as it is, what clearing each part of the ground does, and
// then sums only, since exposure is linear in fuel.
#include "run/appraise/appraisal.hpp"

#include "exposure/neighbourhoods.hpp"
#include "run/appraise/project_effects.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace fuelring {

namespace {

/// What a text says of all polygons of a group; empty where they differ.
template <typename Value, typename Of>
std::optional<Value> common(const ProjectGroup& group, const std::vector<ProjectPolygon>& polygons,
                            Of of)
{
    if (group.polygons.empty()) // nothing is chosen
        return std::nullopt;
    const Value first = of(polygons[group.polygons.front()]);
    const bool same = std::all_of(group.polygons.begin(), group.polygons.end(),
                                  [&](std::uint32_t k) { return of(polygons[k]) == first; });
    return same ? std::optional{first} : std::nullopt;
}

/// Polygons of a group, united.
std::vector<RawPolygon> shape_of(const ProjectGroup& group, const ProjectLayer& projects)
{
    using Scope = ProjectGroup::Scope;
    if (group.scope == Scope::all || group.scope == Scope::chosen)
        return {};
    std::vector<RawPolygon> all;
    for (const std::uint32_t k : group.polygons)
        all.insert(all.end(), projects.ground[k].begin(), projects.ground[k].end());
    bool repaired = false;
    const GeosGeometry shape = geos_union(all, repaired);
    return polygons_of(shape.get());
}

ProjectRow row_of(const ProjectGroup& group, const ProjectLayer& projects)
{
    ProjectRow row;
    row.scope = group.scope;
    row.project = group.name;
    if (group.scope == ProjectGroup::Scope::polygon)
        row.polygon = projects.polygons[group.polygons.front()].id;
    row.year = common<std::string>(group, projects.polygons, [](const ProjectPolygon& p) {
                   return p.year;
               }).value_or("");
    row.leaves =
        common<double>(group, projects.polygons, [](const ProjectPolygon& p) { return p.leaves; });
    row.polygons = static_cast<std::int64_t>(group.polygons.size());
    row.cost = cost_of(group, projects.polygons);
    row.shape = shape_of(group, projects);
    return row;
}

/// Points by neighbourhood of the structures; last: outside. Empty without neighbourhoods.
std::vector<double> by_neighbourhood(const std::vector<double>& removed, const Community& community)
{
    if (community.neighbourhoods.empty())
        return {};
    std::vector<double> sums(community.neighbourhoods.size() + 1);
    for (std::size_t i = 0; i < removed.size(); ++i)
        sums[community.structures[i].neighbourhood.value_or(
            static_cast<std::uint32_t>(community.neighbourhoods.size()))] += removed[i];
    return sums;
}

/// 1 for a home, else 0.
std::vector<double> homes_of(const Community& community)
{
    std::vector<double> homes;
    for (const Structure& s : community.structures)
        homes.push_back(s.home ? 1 : 0);
    return homes;
}

/// Nobody where nobody says, which a warning of the run tells.
std::vector<double> people_of(const Community& community)
{
    std::vector<double> people;
    for (const Structure& s : community.structures)
        people.push_back(s.people.value_or(0));
    return people;
}

/// What clearing each part removes, summed over structures.
std::vector<double> part_points(const GainsByStructure& gains, std::size_t parts)
{
    std::vector<double> points(parts);
    for (const std::vector<PartGain>& of_structure : gains)
        for (const PartGain& gain : of_structure)
            points[gain.part] += gain.points;
    return points;
}

/// Projects come first among the groups. One without a cost cannot be chosen.
ProjectChoice choose(const std::vector<ProjectGroup>& groups, const ProjectLayer& projects,
                     const std::vector<double>& points, double budget)
{
    constexpr double cents = 100;
    constexpr double rounding = 1e-6; // of a sum of costs with two decimals
    const auto taken = parts_taken(groups, projects.polygons, projects.parts);
    const auto most = static_cast<std::int64_t>(std::floor(budget * cents + rounding));
    std::vector<ProjectOption> options;
    for (std::size_t g = 0; groups[g].scope == ProjectGroup::Scope::project; ++g) {
        const std::optional<double> cost = cost_of(groups[g], projects.polygons);
        options.push_back(
            {cost ? static_cast<std::int64_t>(std::ceil(*cost * cents - rounding)) : most + 1,
             taken[g]});
    }
    return best_choice(options, points, most);
}

ProjectGroup chosen_group(const std::vector<ProjectGroup>& groups, const ProjectChoice& choice)
{
    ProjectGroup all{ProjectGroup::Scope::chosen, chosen_projects, {}};
    for (const std::uint32_t k : choice.chosen)
        all.polygons.insert(all.polygons.end(), groups[k].polygons.begin(),
                            groups[k].polygons.end());
    std::sort(all.polygons.begin(), all.polygons.end());
    return all;
}

std::optional<std::int64_t> is_chosen(const std::optional<ProjectChoice>& choice,
                                      ProjectGroup::Scope scope, std::size_t project)
{
    if (!choice || scope != ProjectGroup::Scope::project)
        return std::nullopt;
    return std::binary_search(choice->chosen.begin(), choice->chosen.end(), project) ? 1 : 0;
}

} // namespace

ProjectAccount appraise_projects(const StageContext& context,
                                 const std::optional<Ownership>& owners,
                                 const ProjectLayer& projects, const std::filesystem::path& rasters)
{
    const Community& community = context.community;
    const std::vector<PartShape> shapes = part_shapes(projects.parts, context.raster.grid());
    WorkTimes times;
    const std::vector<MeasuredStructure> measures = measure_structures(context, times);
    const ProjectCells cells{context, shapes, rasters};
    const GainsByStructure gains = clearing_gains(context, measures, cells);
    std::vector<PartGround> ground = ground_in_reach(context, shapes, owners ? &*owners : nullptr);
    for (const PartCells& part : cells.all())
        ground[part.part].clearable_m2 += part.clearable_m2;

    ProjectAccount account;
    account.thresholds = context.config.appraise.thresholds;
    account.homes = std::count_if(community.structures.begin(), community.structures.end(),
                                  [](const Structure& s) { return s.home; });
    if (owners)
        account.owners = owners->kinds();
    if (!community.neighbourhoods.empty()) {
        account.neighbourhoods = community.neighbourhoods;
        account.neighbourhoods.emplace_back(outside_row);
    }
    for (const MeasuredStructure& measure : measures)
        account.before.push_back(exposure(measure, context.config.rings));
    std::vector<ProjectGroup> groups = project_groups(projects.polygons);
    if (context.config.appraise.budget) {
        account.choice = choose(groups, projects, part_points(gains, projects.parts.size()),
                                *context.config.appraise.budget);
        groups.insert(groups.end() - 1, chosen_group(groups, *account.choice));
    }
    const auto taken = parts_taken(groups, projects.polygons, projects.parts);
    for (std::size_t g = 0; g < groups.size(); ++g) {
        ProjectRow row = row_of(groups[g], projects);
        for (const PartTaken& part : taken[g])
            row.area_m2 += projects.part_m2[part.part];
        row.ground = group_sums(taken[g], ground);
        std::vector<double> removed = points_removed(taken[g], gains, projects.parts.size());
        row.exposure_removed = std::accumulate(removed.begin(), removed.end(), 0.0);
        for (const double homes : homes_falling(removed, homes_of(community), account.thresholds))
            row.homes.push_back(std::llround(homes));
        if (community.tells_people)
            row.people = homes_falling(removed, people_of(community), account.thresholds);
        row.removed_from = by_neighbourhood(removed, community);
        row.chosen = is_chosen(account.choice, groups[g].scope, g);
        row.best = cells.most_points(row.ground.clearable_m2);
        account.rows.push_back(std::move(row));
        account.removed.push_back(std::move(removed));
    }
    return account;
}

} // namespace fuelring
