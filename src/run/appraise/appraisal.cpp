// SPDX-License-Identifier: Apache-2.0

// The account as a paragraph: every home as it is, what clearing each part of the ground does, and
// then sums only, since exposure is linear in fuel.
#include "run/appraise/appraisal.hpp"

#include "exposure/neighbourhoods.hpp"
#include "run/appraise/project_effects.hpp"

#include <algorithm>
#include <numeric>

namespace fuelring {

namespace {

/// What a text says of all polygons of a group; empty where they differ.
template <typename Value, typename Of>
std::optional<Value> common(const ProjectGroup& group, const std::vector<ProjectPolygon>& polygons,
                            Of of)
{
    const Value first = of(polygons[group.polygons.front()]);
    const bool same = std::all_of(group.polygons.begin(), group.polygons.end(),
                                  [&](std::uint32_t k) { return of(polygons[k]) == first; });
    return same ? std::optional{first} : std::nullopt;
}

/// Polygons of a group, united.
std::vector<RawPolygon> shape_of(const ProjectGroup& group, const ProjectLayer& projects)
{
    if (group.scope == ProjectGroup::Scope::all)
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

} // namespace

ProjectAccount appraise_projects(const StageContext& context,
                                 const std::optional<Ownership>& owners,
                                 const ProjectLayer& projects, const std::filesystem::path& rasters)
{
    const Community& community = context.community;
    const std::vector<PartShape> shapes = part_shapes(projects.parts, context.raster.grid());
    WorkTimes times;
    const std::vector<StructureMeasure> measures = measure_structures(context, times);
    const ProjectCells cells{context, shapes, rasters};
    const GainsByStructure gains = clearing_gains(context, measures, cells);
    std::vector<PartGround> ground = ground_in_reach(context, shapes, owners ? &*owners : nullptr);
    for (const PartCells& part : cells.all())
        ground[part.part].clearable_m2 += part.clearable_m2;

    ProjectAccount account;
    account.thresholds = context.config.appraise.thresholds;
    if (owners)
        account.owners = owners->kinds();
    if (!community.neighbourhoods.empty()) {
        account.neighbourhoods = community.neighbourhoods;
        account.neighbourhoods.emplace_back(outside_row);
    }
    for (const StructureMeasure& measure : measures)
        account.before.push_back(exposure(measure, context.config.rings));
    const std::vector<ProjectGroup> groups = project_groups(projects.polygons);
    const auto taken = parts_taken(groups, projects.polygons, projects.parts);
    for (std::size_t g = 0; g < groups.size(); ++g) {
        ProjectRow row = row_of(groups[g], projects);
        for (const PartTaken& part : taken[g])
            row.area_m2 += projects.part_m2[part.part];
        row.ground = group_sums(taken[g], ground);
        std::vector<double> removed = points_removed(taken[g], gains, projects.parts.size());
        row.exposure_removed = std::accumulate(removed.begin(), removed.end(), 0.0);
        row.homes = homes_falling(removed, account.thresholds);
        row.removed_from = by_neighbourhood(removed, community);
        row.best = cells.most_points(row.ground.clearable_m2);
        account.rows.push_back(std::move(row));
        account.removed.push_back(std::move(removed));
    }
    return account;
}

} // namespace fuelring
