// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "cli/commands.hpp"

#include <span>
#include <string_view>

namespace fuelring::cli {

/// What it means that the program ends with a code. The help, the manual pages and
/// src/manual/messages.md have no other source.
struct ExitCode {
    std::string_view code; ///< a number, or several with commas between them
    std::string_view meaning;
};
std::span<const ExitCode> exit_codes();

/// Declares the program in `app`: its name, all commands with their options, and the footer that
/// every command repeats. `options` receives what a command line says, and must live as long as
/// `app` does. Both main() and the manual's writer (scripts/make_manual) begin with this.
void declare_program(CLI::App& app, CommonOptions& options);

} // namespace fuelring::cli
