// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/community.hpp"
#include "io/gdal/crs.hpp"
#include "io/tables/column.hpp"
#include "projects/project_account.hpp"

#include <fuelring/grid.hpp>
#include <fuelring/measure.hpp>

#include <filesystem>
#include <vector>

namespace fuelring {

/// Goes with every figure of an appraisal.
std::string projects_caution();

/// What the tables of an appraisal are made of. Owns nothing.
struct ProjectTables {
    const ProjectAccount& account;
    const Community& community;
    const RingPlan& plan;
    const Grid& grid;
    const Crs& crs;
};

/// projects.csv and project_exposure.csv: text cells are neutralised as in addresses.csv; each is
/// written, fsynced and read back. Throw: Error{output}.
void write_projects_csv(const std::filesystem::path& path, const ProjectTables& tables, bool bom);
void write_project_exposure_csv(const std::filesystem::path& path, const ProjectTables& tables,
                                bool bom);
/// projects.gpkg with the layers `projects` (polygons; the row of all has none) and
/// `project_exposure` (points). Field names equal the columns; full doubles. Throws: Error{output}.
void write_projects_gpkg(const std::filesystem::path& path, const ProjectTables& tables);

/// The columns of both files, for the manual: L for a ring, CLASS for an owner, NAME for a
/// neighbourhood or a project.
std::vector<FileColumns> project_tables();

} // namespace fuelring
