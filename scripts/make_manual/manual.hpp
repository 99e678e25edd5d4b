// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/column.hpp"

#include <CLI/App.hpp>

#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring::manual {

// What the program's parsers know, written for people and for shells. The help, the pages and the
// completion have no other source: a new command, option or key appears in all of them.

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

/// The text of a page in Markdown with every generated table made again: what stands between a line
/// `<!-- table: NAME -->` and the next line `<!-- end -->`. NAME is one of
///     commands, options of COMMAND, exit codes, configuration keys, files of COMMAND, audiences,
///     columns of FILE (all_tables), keys of run.json, keys of summaries
/// Throws: Error{usage} for another name and for a block without an end.
std::string with_tables(const std::string& page, const CLI::App& app);

/// Every object that a schema of config/schema names, each with a heading and a table of its keys.
/// `heading`: what stands before its name. Throws: Error{usage} where the file cannot be read.
std::string schema_tables(const char* file, const char* heading);

/// A file that a command leaves, and who should see it.
struct OutputFile {
    std::string_view command; ///< that writes it: map, treat, report, report --public, change
    std::string_view names;   ///< in code marks, with commas between files that go together
    std::string_view what;
    std::string_view who; ///< office, the home, everyone
    std::string_view why; ///< this audience
};
std::span<const OutputFile> output_files();

/// Every CSV file with its columns; those of addresses.csv that an input brings by themselves, as
/// "addresses.csv with heights". In names L is a ring, D a distance, N the near distance.
std::vector<FileColumns> all_tables();

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

} // namespace fuelring::manual
