// SPDX-License-Identifier: Apache-2.0

// A manual page is a walk over what CLI11 knows of a command: its description, its arguments, its
// options and their texts, and its footer. A line of the footer is a paragraph; where it begins
// with a few words and a colon ("Exit codes: ..."), these head a section of their own; lines that
// begin with two blanks are shown as they are.

#include "cli/program.hpp"
#include "manual.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cctype>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <utility>

namespace fuelring::manual {

namespace {

std::string bold(std::string_view text)
{
    return fmt::format("\\fB{}\\fR", man_text(text));
}

/// What stands for a value, such as DIR; an argument's name where it has no other.
std::string value_name(const CLI::Option& option)
{
    const std::string& text = option.get_option_text();
    if (!text.empty())
        return text;
    return option.get_positional() ? upper(option.get_name(true)) : "VALUE";
}

std::string value_in_italics(const CLI::Option& option)
{
    return fmt::format("\\fI{}\\fR", man_text(value_name(option)));
}

/// The option in a synopsis: in brackets where it may be left out.
std::string in_synopsis(const CLI::Option& option)
{
    std::string text =
        option.get_positional() ? value_in_italics(option) : bold(names_of(option).back());
    if (!option.get_positional() && takes_value(option))
        text += fmt::format("\\ {}", value_in_italics(option));
    if (option.get_items_expected_max() > 1 && takes_value(option))
        text += "\\ ...";
    return option.get_required() ? text : fmt::format("[{}]", text);
}

/// What goes with an option and what does not.
std::string conditions(const CLI::Option& option)
{
    std::string text;
    for (const CLI::Option* other : option.get_needs())
        text += fmt::format(" Only with {}.", bold(names_of(*other).back()));
    for (const CLI::Option* other : option.get_excludes())
        text += fmt::format(" Not with {}.", bold(names_of(*other).back()));
    return text;
}

std::string entry(const CLI::Option& option)
{
    std::vector<std::string> names;
    for (const std::string& name : names_of(option))
        names.push_back(bold(name));
    std::string head = fmt::format("{}", fmt::join(names, ", "));
    if (option.get_positional())
        head = value_in_italics(option);
    else if (takes_value(option))
        head += fmt::format(" {}", value_in_italics(option));
    return fmt::format(".TP\n{}\n{}{}\n", head, man_text(sentence(option.get_description())),
                       conditions(option));
}

/// The words before a colon that head a section; empty for other lines.
std::string_view heading_of(std::string_view line)
{
    constexpr std::size_t longest = 24;
    const std::size_t colon = line.find(": ");
    if (colon == line.npos || colon > longest || !std::isupper(static_cast<unsigned char>(line[0])))
        return {};
    return line.substr(0, colon);
}

/// Splits a footer in front of the first line that heads a section.
std::pair<std::string_view, std::string_view> parts_of_footer(std::string_view footer)
{
    for (std::size_t at = 0; at < footer.size(); at = footer.find('\n', at) + 1) {
        if (!heading_of(footer.substr(at, footer.find('\n', at) - at)).empty())
            return {footer.substr(0, at), footer.substr(at)};
        if (footer.find('\n', at) == footer.npos)
            break;
    }
    return {footer, {}};
}

/// The line of the footer that lists exit codes, as a list with one code on a line.
std::string list_of_exit_codes(std::string_view line)
{
    std::string page = ".SH EXIT CODES\n";
    for (const cli::ExitCode& c : cli::exit_codes())
        page += fmt::format(".TP\n\\fB{}\\fR\n{}\n", c.code, man_text(sentence(c.meaning)));
    const std::string_view last = cli::exit_codes().back().meaning;
    return fmt::format("{}.PP\n{}\n", page,
                       man_text(line.substr(line.find(last) + last.size() + 2)));
}

std::string paragraphs(std::string_view lines)
{
    std::string page;
    bool shown_as_is = false;
    while (!lines.empty()) {
        const std::size_t end = lines.find('\n');
        const std::string_view line = lines.substr(0, end);
        lines.remove_prefix(end == lines.npos ? lines.size() : end + 1);
        const bool as_is = line.starts_with("  ");
        if (as_is != shown_as_is)
            page += as_is ? ".PP\n.nf\n" : ".fi\n";
        shown_as_is = as_is;
        const std::string_view heading = heading_of(line);
        if (as_is)
            page += man_text(line.substr(2)) + "\n";
        else if (heading == "Exit codes")
            page += list_of_exit_codes(line);
        else if (!heading.empty())
            page += fmt::format(".SH {}\n{}\n", upper(heading),
                                man_text(sentence(line.substr(heading.size() + 2))));
        else if (!line.empty())
            page += fmt::format(".PP\n{}\n", man_text(line));
    }
    return page + (shown_as_is ? ".fi\n" : "");
}

std::string synopsis(const CLI::App& described, const std::string& words, bool of_program)
{
    std::string page = fmt::format(".SH SYNOPSIS\n{}", bold(words));
    for (const CLI::Option* argument : options_of(described, true))
        page += fmt::format("\n{}", in_synopsis(*argument));
    for (const CLI::Option* option : options_of(described, false))
        if (option->get_name() != "--help")
            page += fmt::format("\n{}", in_synopsis(*option));
    return page + (of_program ? "\n.br\n\\fBfuelring\\fR \\fICOMMAND\\fR ...\n" : "\n");
}

std::string entries(const CLI::App& described)
{
    std::string page;
    for (const bool positional : {true, false}) {
        const auto options = options_of(described, positional);
        if (!options.empty())
            page += positional ? ".SH ARGUMENTS\n" : ".SH OPTIONS\n";
        for (const CLI::Option* option : options)
            page += entry(*option);
    }
    return page;
}

std::string see_also(const CLI::App& app, const CLI::App* command)
{
    std::vector<std::string> pages;
    if (command)
        pages.push_back(bold("fuelring") + "(1)");
    for (const CLI::App* other : commands_of(app))
        if (other != command)
            pages.push_back(bold("fuelring-" + other->get_name()) + "(1)");
    pages.push_back(bold("fuelring.toml") + "(5)");
    return fmt::format(".SH SEE ALSO\n{}\n.PP\nThe manual in share/doc/fuelring: "
                       "a first hour, how the numbers are made, who should see which file.\n",
                       fmt::join(pages, ",\n"));
}

void write(const std::filesystem::path& file, const std::string& text)
{
    const auto refuse = [&](const std::string& reason) {
        throw Error{Failure::output, "the manual could not be written: " + reason, file.string()};
    };
    std::error_code failed;
    std::filesystem::create_directories(file.parent_path(), failed);
    if (failed)
        refuse(failed.message());
    std::ofstream stream{file, std::ios::binary};
    stream << text;
    stream.close();
    if (!stream)
        refuse(std::strerror(errno));
}

} // namespace

std::string man_page(const CLI::App& app, const CLI::App* command)
{
    const CLI::App& described = command ? *command : app;
    const std::string words = command ? "fuelring " + command->get_name() : std::string{"fuelring"};
    const std::string name = command ? "fuelring-" + command->get_name() : words;
    const std::string what = man_text(described.get_description());
    const std::string footer = described.get_footer();
    const auto [description, sections] = parts_of_footer(footer);
    std::string page = man_heading(name, 1);
    page += fmt::format(".SH NAME\n{} \\- {}\n", man_text(name), what);
    page += synopsis(described, words, command == nullptr);
    page += fmt::format(".SH DESCRIPTION\n{}\n{}", sentence(what), paragraphs(description));
    if (!command) {
        page += ".SH COMMANDS\n";
        for (const CLI::App* other : commands_of(app))
            page += fmt::format(".TP\n{}(1)\n{}\n", bold("fuelring-" + other->get_name()),
                                man_text(sentence(other->get_description())));
    }
    return page + entries(described) + paragraphs(sections) + see_also(app, command);
}

void write_manual(const CLI::App& app, const std::filesystem::path& folder)
{
    write(folder / "man1/fuelring.1", man_page(app, nullptr));
    for (const CLI::App* command : commands_of(app))
        write(folder / fmt::format("man1/fuelring-{}.1", command->get_name()),
              man_page(app, command));
    write(folder / "man5/fuelring.toml.5", configuration_page());
    write(folder / "completions/fuelring", bash_completion(app));
}

} // namespace fuelring::manual
