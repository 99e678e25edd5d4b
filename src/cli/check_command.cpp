// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/check.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_check(CLI::App& app, CommonOptions& options)
{
    CLI::App* check = app.add_subcommand(
        "check", "Validate configuration and inputs and explain what a run would do");
    add_common_options(*check, options);
    check->callback([&options] {
        Log log{options.log_style()};
        MapOptions map_options;
        map_options.jobs = options.jobs;
        if (!options.out.empty())
            map_options.out = options.out;
        const nlohmann::json report = run_check(load_config(options.config), map_options, log);
        if (options.json)
            print_json(report);
    });
}

} // namespace fuelring::cli
