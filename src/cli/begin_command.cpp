// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/begin/begin.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_begin(CLI::App& app, CommonOptions& options)
{
    auto wanted = std::make_shared<BeginOptions>();
    CLI::App* begin =
        app.add_subcommand("begin", "Look at a folder of data and write a first configuration");
    add_value(*begin, "folder", wanted->folder, "folder with the town's data", "DIR")->required();
    add_value(*begin, "--out", wanted->out,
              "the configuration to write, instead of DIR/fuelring.toml", "FILE");
    add_run_options(*begin, options);
    explain(
        *begin,
        "Says of every file what it is, and guesses footprints, fuel raster, class table, "
        "addresses, neighbourhoods, parcels, heights and their columns. Every guess has a remark "
        "in the file; read them all before the first run. An existing file is not replaced.\n"
        "Example: from a folder to the first table.\n"
        "  fuelring begin town && fuelring check town/fuelring.toml && fuelring map "
        "town/fuelring.toml");
    begin->callback([wanted, &options] {
        run_logged(options, [&](Log& log) { return run_begin(*wanted, log); });
    });
}

} // namespace fuelring::cli
