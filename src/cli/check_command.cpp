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
    check->callback([&options] { run_on_configuration(options, run_check); });
}

} // namespace fuelring::cli
