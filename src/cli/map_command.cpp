// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/map.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_map(CLI::App& app, CommonOptions& options)
{
    CLI::App* map = app.add_subcommand(
        "map", "Measure conifers around every structure and write the outputs as one set");
    add_common_options(*map, options);
    map->add_flag("--full", options.full, "compute everything anew (this version always does)");
    map->callback([&options] {
        Log log{options.log_style()};
        MapOptions map_options;
        map_options.jobs = options.jobs;
        if (!options.out.empty())
            map_options.out = options.out;
        const nlohmann::json summary = run_map(load_config(options.config), map_options, log);
        if (options.json)
            print_json(summary);
    });
}

} // namespace fuelring::cli
