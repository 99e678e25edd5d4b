// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <CLI/App.hpp>

#include <filesystem>
#include <string>
#include <vector>

namespace fuelring::cli {

// What the parser of the command line knows, written for people and for shells. The help, the pages
// and the completion have no other source: a new command or option stands in all of them.

/// Writes below `folder`: man1/fuelring.1, man1/fuelring-COMMAND.1 of every command,
/// man5/fuelring.toml.5, and completions/fuelring for bash. The bytes depend on the program and on
/// SOURCE_DATE_EPOCH alone. Throws: Error{output}.
void write_manual(const CLI::App& app, const std::filesystem::path& folder);

/// A page of the program (no `command`) or of one of its commands, in man macros.
std::string man_page(const CLI::App& app, const CLI::App* command);
/// The page of the configuration file, of config_sections() and config_keys().
std::string configuration_page();
/// A script of completions for bash.
std::string bash_completion(const CLI::App& app);

// Of use to all of them.

std::vector<const CLI::App*> commands_of(const CLI::App& app);
/// Those that help shows, in order; positional ones or the others.
std::vector<const CLI::Option*> options_of(const CLI::App& command, bool positional);
/// All names of an option with their dashes, the short ones first.
std::vector<std::string> names_of(const CLI::Option& option);
/// The words that an option takes, where they are a choice.
std::vector<std::string> choices_of(const CLI::Option& option);
bool takes_value(const CLI::Option& option);

/// Text for a page: what roff would take for a request or an escape stands as it is.
std::string man_text(std::string_view text);
std::string upper(std::string_view text);
/// With a capital at its start and a full stop at its end.
std::string sentence(std::string_view text);
/// The line .TH of a page.
std::string man_heading(std::string_view name, int section);

} // namespace fuelring::cli
