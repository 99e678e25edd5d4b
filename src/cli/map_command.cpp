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
    map->add_flag("--full", options.full,
                  "compute everything anew, reuse nothing of an earlier run");
    map->callback([&options] { run_on_configuration(options, run_map); });
}

} // namespace fuelring::cli
