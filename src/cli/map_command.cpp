// SPDX-License-Identifier: Apache-2.0
#include "cli/commands.hpp"
#include "run/map.hpp"

#include <fuelring/error.hpp>

#include <nlohmann/json.hpp>

#include <charconv>

namespace fuelring::cli {

namespace {

/// Throws: Error{usage} where the text does not read like "3/7".
Shard shard_of(const std::string& text)
{
    Shard shard{0, 0};
    const char* const end = text.data() + text.size();
    const auto number = std::from_chars(text.data(), end, shard.number);
    if (number.ec == std::errc{} && number.ptr != end && *number.ptr == '/') {
        const auto of = std::from_chars(number.ptr + 1, end, shard.of);
        if (of.ec == std::errc{} && of.ptr == end && shard.number >= 1 &&
            shard.number <= shard.of && shard.of <= most_shards)
            return shard;
    }
    throw Error{Failure::usage, "'" + text + "' is not a shard", "--shard",
                "write K/N such as 3/7, with K from 1 to N and N at most " +
                    std::to_string(most_shards)};
}

} // namespace

void add_map(CLI::App& app, CommonOptions& options)
{
    CLI::App* map =
        app.add_subcommand("map", "Measure conifers around every structure and write all outputs");
    add_common_options(*map, options);
    add_accept(*map, options);
    map->add_flag("--full", options.map.full,
                  "recompute everything; reuse nothing from earlier runs");
    explain(
        *map,
        "Files: addresses.csv, neighbourhoods.csv, fuelring.gpkg, priority.tif, fuel_used.tif, "
        "changes.csv (changes since the last run), history.csv, run.json and others. The output "
        "folder is replaced as a whole, or not at all. Intermediate results are kept in "
        ".NAME.state next to it to speed up the next run; you may delete this file.\n"
        "Example: a run with a summary for another program.\n"
        "  fuelring map tamarack.toml --out tamarack --json > tamarack.json");
    CLI::Option* fail = add_fail_on_change(*map, options);
    const auto shard = std::make_shared<std::string>();
    add_value(*map, "--shard", *shard,
              "do part K of N and write it to a file in DIR (default: OUT.shards), for fuelring "
              "merge",
              "K/N")
        ->excludes(fail);
    map->callback([&options, shard] {
        if (shard->empty())
            run_and_judge_change(options, run_map);
        else
            run_on_configuration(
                options,
                [shard = shard_of(*shard)](const Config& config, const MapOptions& more, Log& log) {
                    return run_shard(config, shard, more, log);
                });
    });
}

} // namespace fuelring::cli
