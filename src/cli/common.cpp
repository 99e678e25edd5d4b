// SPDX-License-Identifier: Apache-2.0

// What several commands share: their options, and the frame around their work. A command itself
// only declares and calls; here the configuration is loaded, the log is set up, the summary is
// printed.
#include "base/program/redacted_json.hpp"
#include "base/program/signals.hpp"
#include "cli/commands.hpp"
#include "run/history/changes.hpp"

#include <fuelring/error.hpp>

#include <CLI/Validators.hpp>
#include <nlohmann/json.hpp>

#include <cstdio>

namespace fuelring::cli {

namespace {

constexpr const char* every_kind = "all";

void print_json(const nlohmann::json& document)
{
    const std::string text =
        redacted_json(document).dump(2, ' ', false, nlohmann::json::error_handler_t::replace) +
        "\n";
    if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0)
        throw Error{Failure::output, "the summary could not be written", "standard output",
                    "the outputs are complete; check where standard output goes"};
}

std::string kinds_text()
{
    std::string text;
    for (const GateKind kind : all_gate_kinds)
        text += std::string{name_of(kind)} + ", ";
    return text + every_kind;
}

std::string why_no_kind(const std::string& word)
{
    if (word == every_kind || gate_kind(word))
        return {};
    return "'" + word + "' is not a kind of finding. Give one of " + kinds_text() +
           "; to accept all, put the option last, without a kind";
}

GateKinds accepted_kinds(const std::vector<std::string>& words)
{
    GateKinds kinds;
    for (const std::string& word : words)
        if (const auto kind = gate_kind(word))
            kinds.insert(*kind);
        else if (word == every_kind)
            kinds.insert(all_gate_kinds.begin(), all_gate_kinds.end());
        else // an unset variable of a script does not mean all
            throw Error{Failure::usage, "--accept: " + why_no_kind(word)};
    return kinds;
}

} // namespace

void explain(CLI::App& command, const std::string& lines)
{
    command.footer(lines + "\n" + command.get_footer());
}

void add_run_options(CLI::App& command, CommonOptions& options)
{
    command.parse_complete_callback(
        [&options, name = command.get_name()] { options.command = name; });
    add_value(command, "--jobs", options.map.jobs,
              "number of worker threads; 0 means one per core, within the CPU quota", "N")
        ->check(CLI::Range(0, 1024));
    CLI::Option* quiet =
        command.add_flag("--quiet", options.quiet, "print warnings and errors only");
    command
        .add_flag("--verbose", options.verbose,
                  "also print what was read and how: files, coordinate systems, reuse, limits")
        ->excludes(quiet);
    command.add_flag("--json", options.json, "print the summary as JSON on stdout");
    add_value(command, "--log", options.log, "format of the lines on stderr: plain or json",
              "STYLE")
        ->check(CLI::IsMember({"plain", "json"}));
}

void add_common_options(CLI::App& command, CommonOptions& options)
{
    add_value(command, "config", options.config, "configuration file (TOML)", "CONFIG")->required();
    add_value(command, "--out", options.map.out, "output folder, instead of output.dir", "DIR");
    add_run_options(command, options);
}

void add_accept(CLI::App& command, CommonOptions& options)
{
    add_value(
        command, "--accept", options.accepted,
        "publish even if the input check would stop the run for this reason, and record it: " +
            kinds_text() + "; may be given several times",
        "KIND")
        ->expected(0, 1)
        ->default_str(every_kind) // what it stands for without a kind
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll)
        ->check(CLI::Validator{why_no_kind, ""});
}

CLI::Option* add_fail_on_change(CLI::App& command, CommonOptions& options)
{
    return command.add_flag(
        "--fail-on-change", options.fail_on_change,
        "exit with code 1 if any structure changed since the last run; outputs are still written");
}

nlohmann::json run_logged(const CommonOptions& options,
                          const std::function<nlohmann::json(Log&)>& work)
{
    Log log{options.log_style()};
    nlohmann::json result = work(log);
    result["command"] = options.command;
    if (options.json)
        print_json(result);
    return result;
}

nlohmann::json run_on_configuration(const CommonOptions& options, const WorkOnConfiguration& work)
{
    return run_logged(options, [&](Log& log) {
        MapOptions wanted = options.map;
        wanted.accepted = accepted_kinds(options.accepted);
        const Config config = load_config(options.config);
        if (config.run.minutes)
            SignalWatch::end_after(*config.run.minutes);
        return work(config, wanted, log);
    });
}

nlohmann::json run_on_imagery(const CommonOptions& options, const WorkOnConfiguration& work)
{
    return run_logged(options, [&](Log& log) {
        const Config config = load_imagery_config(options.config);
        if (config.run.minutes)
            SignalWatch::end_after(*config.run.minutes);
        return work(config, options.map, log);
    });
}

void run_and_judge_change(CommonOptions& options, const WorkOnConfiguration& work)
{
    const nlohmann::json summary = run_on_configuration(options, work);
    if (options.fail_on_change && something_changed(summary))
        options.exit_code = exit_code_of_change;
}

} // namespace fuelring::cli
