// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "projects/choice.hpp"
#include "projects/project_gains.hpp"

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Ground of a part in one ring around any structure, nothing counted twice, under no roof.
/// Not numbers where the parts of a region did not close: then nothing of it is known.
struct RingGround {
    double ground_m2 = 0;
    double unmapped_m2 = 0; ///< of it, ground of unknown cover
    double conifer_m2 = 0;  ///< on mapped ground
};

/// A part of the ground, summed over all structures.
struct PartGround {
    std::vector<RingGround> rings;        ///< by ring
    std::vector<double> owner_m2;         ///< conifers in all rings by Ownership::kinds
    std::vector<double> neighbourhood_m2; ///< the same by neighbourhood; last: outside them
    /// Conifers of its cells that add to some exposure, roofs or not: what its gain is paid with.
    double clearable_m2 = 0;
};

/// Sums of a group over its parts.
struct GroupSums {
    std::vector<RingGround> rings;
    std::vector<double> treated_m2; ///< conifers taken, by ring
    std::vector<double> owner_m2, owner_treated_m2;
    std::vector<double> neighbourhood_m2, neighbourhood_treated_m2;
    double clearable_m2 = 0; ///< taken of PartGround::clearable_m2
};
/// Law: linear in the shares taken; sums of
/// rings, of owners and of neighbourhoods are equal, to rounding.
GroupSums group_sums(const std::vector<PartTaken>& taken, const std::vector<PartGround>& parts);

/// One row of projects.csv: a project, a polygon, or all.
struct ProjectRow {
    ProjectGroup::Scope scope = ProjectGroup::Scope::all;
    std::string project;
    std::string polygon; ///< its id; empty for a project and for all
    std::string year;    ///< of a polygon, or of all polygons of a project where it is the same
    std::int64_t polygons = 0;
    std::optional<double> leaves; ///< where it is the same in all of them
    double area_m2 = 0;           ///< of the ground; what polygons share counts once
    GroupSums ground;
    double exposure_removed = 0;      ///< points, summed over structures
    std::vector<std::int64_t> homes;  ///< by threshold: that fall by so many points
    std::vector<double> people;       ///< the same: that live in them; empty where nobody says
    std::vector<double> removed_from; ///< points by neighbourhood of the structures; last: outside
    std::optional<double> cost;       ///< money
    std::optional<std::int64_t> chosen; ///< of a project, with a budget: 1 where it is chosen
    std::optional<double> best;         ///< no use of clearable_m2 removes more points
    std::vector<RawPolygon> shape;      ///< units of the grid

    RingGround reach() const;          ///< all rings
    double treated_conifer_m2() const; ///< taken in all rings
    std::optional<double> share_of_best() const;
};

/// What the appraisal of drawn projects comes to.
struct ProjectAccount {
    std::vector<ProjectRow> rows; ///< as project_groups
    std::vector<double> thresholds;
    std::vector<std::string> owners;           ///< kinds of owners; empty without parcels
    std::vector<std::string> neighbourhoods;   ///< with "(outside)"; empty without them
    std::vector<std::optional<double>> before; ///< exposure by structure; empty where it has none
    std::vector<std::vector<double>> removed;  ///< points by row and structure
    std::int64_t homes = 0;                    ///< of the structures
    /// What of the projects (rows of scope project, by number) to do with a budget; none without.
    std::optional<ProjectChoice> choice;

    /// The row of all projects. Requires: rows.
    const ProjectRow& all() const { return rows.back(); }
    /// Exposure of structure i once row r is done; empty where it has none.
    std::optional<double> after(std::size_t r, std::size_t i) const
    {
        return before[i] ? std::optional{*before[i] - removed[r][i]} : std::nullopt;
    }
    double sum_before() const; ///< points, over the structures that have an exposure
};

} // namespace fuelring
