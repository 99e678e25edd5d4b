// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "run/map.hpp"

#include <CLI/App.hpp>
#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace fuelring::cli {

/// What a command line says, as far as several commands take it.
struct CommonOptions {
    std::filesystem::path config;
    MapOptions map; ///< jobs, out and full of every command; parts of `merge`
    bool fail_on_change = false;
    std::vector<std::string> accepted; ///< kinds of findings, or "all"; `map.accepted` when it runs
    bool quiet = false;
    bool verbose = false;
    bool json = false;         ///< print the summary on stdout
    std::string log = "plain"; ///< or "json": the lines on stderr
    int exit_code = 0;         ///< of a command that did its work
    std::string command{};     ///< its name, which the summary carries

    LogStyle log_style() const { return {quiet, log == "json", verbose}; }
};

/// Declares an option or an argument that takes a value; `form` stands for the value in the help
/// (DIR and RUN complete as folders, FILE and CONFIG as files).
template <typename Value>
CLI::Option* add_value(CLI::App& command, const char* name, Value& into, const std::string& what,
                       const char* form)
{
    return command.add_option(name, into, what)->option_text(form);
}

/// Declares the options that every command has: --jobs, --quiet, --verbose, --json, --log.
void add_run_options(CLI::App& command, CommonOptions& options);

/// The same with the configuration and --out, of commands that work on a configuration.
void add_common_options(CLI::App& command, CommonOptions& options);

/// Declares --accept, of commands that run `map`.
void add_accept(CLI::App& command, CommonOptions& options);

/// Declares --fail-on-change.
CLI::Option* add_fail_on_change(CLI::App& command, CommonOptions& options);

/// Puts lines before the footer that the program gives every command; help and the manual page show
/// them (scripts/make_manual says how lines become sections).
void explain(CLI::App& command, const std::string& lines);

/// Runs `work` with a log of the wanted style; prints what it returns where --json asks for it, and
/// returns it. Throws: what `work` throws; Error{output} when stdout takes nothing more.
nlohmann::json run_logged(const CommonOptions& options,
                          const std::function<nlohmann::json(Log&)>& work);

/// What a command does; returns its summary, which --json prints.
using WorkOnConfiguration = std::function<nlohmann::json(const Config&, const MapOptions&, Log&)>;

/// The same for work on the configuration, which it loads, within run.minutes.
/// Throws: besides, Error{usage} for a kind that --accept does not know, and for the configuration.
nlohmann::json run_on_configuration(const CommonOptions& options, const WorkOnConfiguration& work);

/// The same for work on the imagery of the configuration (load_imagery_config).
nlohmann::json run_on_imagery(const CommonOptions& options, const WorkOnConfiguration& work);

/// The same for work that maps; sets options.exit_code where --fail-on-change asks for it.
void run_and_judge_change(CommonOptions& options, const WorkOnConfiguration& work);

// Each declares a command with its options, help and what it calls. `options` must outlive `app`.
void add_begin(CLI::App& app, CommonOptions& options);
void add_check(CLI::App& app, CommonOptions& options);
void add_classify(CLI::App& app, CommonOptions& options);
void add_map(CLI::App& app, CommonOptions& options);
void add_merge(CLI::App& app, CommonOptions& options);
void add_change(CLI::App& app, CommonOptions& options);
void add_treat(CLI::App& app, CommonOptions& options);
void add_appraise(CLI::App& app, CommonOptions& options);
void add_report(CLI::App& app, CommonOptions& options);
void add_verify(CLI::App& app, CommonOptions& options);

} // namespace fuelring::cli
