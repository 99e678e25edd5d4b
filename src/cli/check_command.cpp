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
    explain(*check,
            "It prints what would be read, reprojected and written, the share of every fuel class "
            "around the structures (a wrong class table is seen at once), and an estimate of time, "
            "memory and disk. It writes nothing.\n"
            "Example: a look at the sample community.\n"
            "  fuelring check /usr/share/fuelring/sample_data/tamarack_bend.toml");
    check->callback([&options] {
        options.verbose = true; // what was read is what check is for
        run_on_configuration(options, run_check);
    });
}

} // namespace fuelring::cli
