// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/appraise.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_appraise(CLI::App& app, CommonOptions& options)
{
    CLI::App* appraise = app.add_subcommand(
        "appraise", "Say what drawn projects would bring: homes, hectares, points, money");
    auto projects = std::make_shared<ProjectSource>();
    add_common_options(*appraise, options);
    add_accept(*appraise, options);
    add_value(*appraise, "--projects", projects->path,
              "layer of project polygons; columns leaves (share of conifers that stays, 0 to 1), "
              "cost or cost_per_ha, and year are used if present",
              "FILE")
        ->required()
        ->check(CLI::ExistingFile);
    add_value(*appraise, "--layer,--projects-layer", projects->layer,
              "its layer, if it has several", "LAYER");
    add_value(*appraise, "--name,--projects-name", projects->name,
              "column with the project's name; default: project, else name", "COLUMN");
    add_value(*appraise, "--projects-crs", projects->crs,
              "its coordinate system, if the file has none", "CRS");
    explain(*appraise,
            "Nothing of it is done yet: the outputs say so. If the output folder has no run, or an "
            "outdated one, map runs first. Where polygons overlap, the smallest share that stays "
            "holds. Exposure is linear in fuel, so values before and after are exact for the "
            "vegetation map.\n"
            "Files: added to the output folder: projects.csv, project_exposure.csv, "
            "projects.gpkg.\n"
            "Example: three projects of the sample community.\n"
            "  fuelring appraise /usr/share/fuelring/sample_data/tamarack_bend.toml --projects "
            "/usr/share/fuelring/sample_data/projects.gpkg --out out");
    appraise->callback([&options, projects] {
        run_on_configuration(options,
                             [&](const Config& config, const MapOptions& wanted, Log& log) {
                                 return run_appraise(config, *projects, wanted, log);
                             });
    });
}

} // namespace fuelring::cli
