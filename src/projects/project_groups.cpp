// SPDX-License-Identifier: Apache-2.0
#include "projects/project_groups.hpp"

#include <algorithm>
#include <map>
#include <numeric>

namespace fuelring {

const char* name_of(ProjectGroup::Scope scope)
{
    switch (scope) {
    case ProjectGroup::Scope::project:
        return "project";
    case ProjectGroup::Scope::polygon:
        return "polygon";
    case ProjectGroup::Scope::chosen:
        return "chosen";
    case ProjectGroup::Scope::all:
        break;
    }
    return "all";
}

std::vector<ProjectGroup> project_groups(const std::vector<ProjectPolygon>& polygons)
{
    using Scope = ProjectGroup::Scope;
    std::vector<ProjectGroup> groups;
    std::map<std::string, std::size_t> group_of;
    for (std::uint32_t k = 0; k < polygons.size(); ++k) {
        const auto [at, is_new] = group_of.try_emplace(polygons[k].project, groups.size());
        if (is_new)
            groups.push_back({Scope::project, polygons[k].project, {}});
        groups[at->second].polygons.push_back(k);
    }
    for (std::uint32_t k = 0; k < polygons.size(); ++k)
        groups.push_back({Scope::polygon, polygons[k].project, {k}});
    ProjectGroup all{Scope::all, all_projects, std::vector<std::uint32_t>(polygons.size())};
    std::iota(all.polygons.begin(), all.polygons.end(), std::uint32_t{0});
    groups.push_back(std::move(all));
    return groups;
}

std::vector<std::vector<PartTaken>> parts_taken(const std::vector<ProjectGroup>& groups,
                                                const std::vector<ProjectPolygon>& polygons,
                                                const std::vector<GroundPart>& parts)
{
    std::vector<std::vector<PartTaken>> taken;
    for (const ProjectGroup& group : groups) {
        std::vector<PartTaken>& of_group = taken.emplace_back();
        for (std::uint32_t p = 0; p < parts.size(); ++p) {
            std::optional<double> least;
            for (const std::uint32_t k : parts[p].polygons)
                if (std::binary_search(group.polygons.begin(), group.polygons.end(), k))
                    least = std::min(least.value_or(1), polygons[k].leaves);
            if (least)
                of_group.push_back({p, 1 - *least});
        }
    }
    return taken;
}

std::optional<double> cost_of(const ProjectGroup& group,
                              const std::vector<ProjectPolygon>& polygons)
{
    double sum = 0;
    for (const std::uint32_t k : group.polygons) {
        if (!polygons[k].cost)
            return std::nullopt;
        sum += *polygons[k].cost;
    }
    return sum;
}

} // namespace fuelring
