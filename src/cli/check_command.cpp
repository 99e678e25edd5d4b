// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/map.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_check(CLI::App& app, CommonOptions& options)
{
    CLI::App* check =
        app.add_subcommand("check", "Check configuration and inputs, and say what a run would do");
    add_common_options(*check, options);
    explain(
        *check,
        "Prints what would be read, reprojected and written, the share of each fuel class around "
        "the structures (which shows up a wrong class table), and estimates of time, memory and "
        "disk space. It does not write anything.\n"
        "Example: check the sample community.\n"
        "  fuelring check /usr/share/fuelring/sample_data/tamarack_bend.toml");
    check->callback([&options] {
        options.verbose = true; // what was read is what check is for
        run_on_configuration(options, run_check);
    });
}

} // namespace fuelring::cli
