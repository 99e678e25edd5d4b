// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/treat.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_treat(CLI::App& app, CommonOptions& options)
{
    CLI::App* treat = app.add_subcommand(
        "treat", "Pick where to treat conifers within a budget, from the run in the output folder");
    add_common_options(*treat, options);
    treat->callback([&options] { run_on_configuration(options, run_treat); });
}

} // namespace fuelring::cli
