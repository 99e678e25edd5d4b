// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "projects/ground_parts.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// One drawn polygon, without its ground.
struct ProjectPolygon {
    std::string id;             ///< feature id in its file
    std::string project;        ///< name; the polygon's id where the layer has no names
    double leaves = 0;          ///< share of its conifers that stays, 0 to 1
    std::optional<double> cost; ///< of the whole polygon, money
    std::string year;           ///< as it stands in the file
    double area_m2 = 0;         ///< of the ground
};

/// The names of the rows of all projects together, and of those that a budget chooses.
inline constexpr const char* all_projects = "(all)";
inline constexpr const char* chosen_projects = "(chosen)";

/// What is accounted for by itself.
struct ProjectGroup {
    enum class Scope { project, polygon, chosen, all };
    Scope scope = Scope::all;
    std::string name;                    ///< of the project
    std::vector<std::uint32_t> polygons; ///< rising
};
const char* name_of(ProjectGroup::Scope scope);

/// Projects in the order in which the polygons first name them, then every polygon, then all.
std::vector<ProjectGroup> project_groups(const std::vector<ProjectPolygon>& polygons);

/// What a group takes from a part of the ground.
struct PartTaken {
    std::uint32_t part = 0;
    double taken = 0; ///< share of its conifers, 0 to 1: 1 less the smallest share that stays
};
/// By group; parts that rise. A part that a group holds is there even where nothing is taken.
std::vector<std::vector<PartTaken>> parts_taken(const std::vector<ProjectGroup>& groups,
                                                const std::vector<ProjectPolygon>& polygons,
                                                const std::vector<GroundPart>& parts);

/// Sum over the polygons; empty where one of them names no cost, since a sum without it would be
/// too low.
std::optional<double> cost_of(const ProjectGroup& group,
                              const std::vector<ProjectPolygon>& polygons);

} // namespace fuelring
