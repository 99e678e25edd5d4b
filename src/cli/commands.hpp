// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/log.hpp"

#include <CLI/App.hpp>
#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <memory>
#include <string>

namespace fuelring::cli {

/// What every command that works on a configuration takes.
struct CommonOptions {
    std::filesystem::path config;
    std::string out;
    int jobs = 0;
    bool full = false;
    bool quiet = false;
    bool json = false;
    std::string log = "plain";

    LogStyle log_style() const { return {quiet, log == "json"}; }
};

/// Declares the options that `check` and `map` share.
void add_common_options(CLI::App& command, CommonOptions& options);

/// Prints one JSON document to stdout. Throws: Error{output} when stdout takes nothing more.
void print_json(const nlohmann::json& document);

void add_check(CLI::App& app, CommonOptions& options);
void add_map(CLI::App& app, CommonOptions& options);

} // namespace fuelring::cli
