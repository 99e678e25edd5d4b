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

/// What every command that works on a configuration takes.
struct CommonOptions {
    std::filesystem::path config;
    std::string out;
    int jobs = 0;
    bool full = false;
    bool fail_on_change = false;
    std::vector<std::string> accepted; ///< kinds of findings, or "all"
    bool quiet = false;
    bool verbose = false;
    bool json = false;
    std::string log = "plain";
    int exit_code = 0; ///< of a command that did its work

    LogStyle log_style() const { return {quiet, log == "json", verbose}; }
};

/// Declares the options that `check` and `map` share.
void add_common_options(CLI::App& command, CommonOptions& options);

/// Those of them that every command shares: --jobs, --quiet, --verbose, --json, --log.
void add_run_options(CLI::App& command, CommonOptions& options);

/// Puts lines before the footer that the program gives every command; help and the manual page show
/// them (src/manual/writer says how lines become sections).
void explain(CLI::App& command, const std::string& lines);

/// Declares --accept, of commands that run `map`.
void add_accept(CLI::App& command, CommonOptions& options);

/// Throws: Error{output} when stdout takes nothing more.
void print_json(const nlohmann::json& document);

/// Loads the configuration, runs `work` on it with a log of the wanted style, and prints what it
/// returns where --json asks for it; what it returned. Throws: Error{output} when stdout takes
/// nothing more.
nlohmann::json run_on_configuration(
    const CommonOptions& options,
    const std::function<nlohmann::json(const Config&, const MapOptions&, Log&)>& work);

/// Declares --fail-on-change.
CLI::Option* add_fail_on_change(CLI::App& command, CommonOptions& options);
/// The same for work that maps; sets options.exit_code where --fail-on-change asks for it.
void run_and_judge_change(
    CommonOptions& options,
    const std::function<nlohmann::json(const Config&, const MapOptions&, Log&)>& work);

void add_check(CLI::App& app, CommonOptions& options);
void add_map(CLI::App& app, CommonOptions& options);
void add_merge(CLI::App& app, CommonOptions& options);
void add_change(CLI::App& app, CommonOptions& options);
void add_treat(CLI::App& app, CommonOptions& options);
void add_report(CLI::App& app, CommonOptions& options);

} // namespace fuelring::cli
