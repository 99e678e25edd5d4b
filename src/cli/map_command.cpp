// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/changes.hpp"
#include "run/map.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_map(CLI::App& app, CommonOptions& options)
{
    CLI::App* map = app.add_subcommand(
        "map", "Measure conifers around every structure and write the outputs as one set");
    add_common_options(*map, options);
    map->add_flag("--full", options.full,
                  "compute everything anew, reuse nothing of an earlier run");
    map->add_flag("--fail-on-change", options.fail_on_change,
                  "end with 1 where a structure changed since the last run; outputs are in place");
    explain(*map,
            "Files: the output folder appears as a whole or not at all: addresses.csv, "
            "neighbourhoods.csv, fuelring.gpkg, priority.tif, fuel_used.tif, run.json and others. "
            "Results are kept beside it in .NAME.state for the next run; it may be deleted.\n"
            "Example: a run with a summary for a program.\n"
            "  fuelring map bend.toml --out bend --json > bend.json");
    map->callback([&options] {
        const nlohmann::json summary = run_on_configuration(options, run_map);
        if (options.fail_on_change && something_changed(summary))
            options.exit_code = exit_code_of_change;
    });
}

} // namespace fuelring::cli
