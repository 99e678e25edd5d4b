// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/map.hpp"

#include <nlohmann/json.hpp>

namespace fuelring::cli {

void add_merge(CLI::App& app, CommonOptions& options)
{
    CLI::App* merge = app.add_subcommand(
        "merge", "Combine the parts made by map --shard into the outputs of one run");
    add_common_options(*merge, options);
    add_accept(*merge, options);
    add_value(*merge, "shards", options.map.parts, "the parts, one for each shard, in any order",
              "SHARD...")
        ->required();
    merge->add_flag("--full", options.map.full,
                    "write the outputs again even if nothing changed since the last run");
    add_fail_on_change(*merge, options);
    explain(*merge,
            "Files: the same output folder as a single fuelring map. The parts are in OUT.shards "
            "unless map --shard was given another folder; you may delete them afterwards.\n"
            "Example: three parts, each on any machine, then merged.\n"
            "  fuelring map tamarack.toml --shard 1/3\n"
            "  fuelring map tamarack.toml --shard 2/3\n"
            "  fuelring map tamarack.toml --shard 3/3\n"
            "  fuelring merge tamarack.toml out.shards/*.part");
    merge->callback([&options] { run_and_judge_change(options, run_map); });
}

} // namespace fuelring::cli
