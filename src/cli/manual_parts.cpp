// SPDX-License-Identifier: Apache-2.0
#include "cli/manual.hpp"

#include <fuelring/version.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cstdlib>
#include <cstring>
#include <ctime>

namespace fuelring::cli {

namespace {

/// The day that a build names as its own (SOURCE_DATE_EPOCH); nothing else would be reproducible.
std::string day_of_build()
{
    const char* text = std::getenv("SOURCE_DATE_EPOCH");
    long long seconds = 0;
    if (!text || std::from_chars(text, text + std::strlen(text), seconds).ec != std::errc{})
        return "";
    const auto moment = static_cast<std::time_t>(seconds);
    std::tm day{};
    gmtime_r(&moment, &day);
    return fmt::format("{:04}-{:02}-{:02}", day.tm_year + 1900, day.tm_mon + 1, day.tm_mday);
}

} // namespace

std::string upper(std::string_view text)
{
    std::string result{text};
    std::ranges::transform(result, result.begin(), [](unsigned char c) { return std::toupper(c); });
    return result;
}

std::string sentence(std::string_view text)
{
    std::string result{text};
    if (!result.empty())
        result.front() =
            static_cast<char>(std::toupper(static_cast<unsigned char>(result.front())));
    return result.empty() || result.back() == '.' ? result : result + ".";
}

std::vector<const CLI::App*> commands_of(const CLI::App& app)
{
    return app.get_subcommands(
        [](const CLI::App* command) { return !command->get_name().empty(); });
}

std::vector<const CLI::Option*> options_of(const CLI::App& command, bool positional)
{
    return command.get_options([positional](const CLI::Option* option) {
        return option->get_positional() == positional && !option->get_group().empty();
    });
}

std::vector<std::string> names_of(const CLI::Option& option)
{
    std::vector<std::string> names;
    for (const std::string& name : option.get_snames())
        names.push_back("-" + name);
    for (const std::string& name : option.get_lnames())
        names.push_back("--" + name);
    return names;
}

std::vector<std::string> choices_of(const CLI::Option& option)
{
    // CLI11 keeps a choice as the name of a type: TEXT:{a,b}
    const std::string type = option.get_type_name();
    const std::size_t open = type.find('{');
    const std::size_t close = type.find('}');
    std::vector<std::string> words;
    if (open == type.npos || close == type.npos)
        return words;
    for (std::size_t at = open; at < close;) {
        const std::size_t end = std::min(type.find(',', at + 1), close);
        words.push_back(type.substr(at + 1, end - at - 1));
        at = end;
    }
    return words;
}

bool takes_value(const CLI::Option& option)
{
    return option.get_items_expected_max() > 0;
}

std::string man_text(std::string_view text)
{
    std::string page;
    for (const char c : text) {
        switch (c) {
        case '\\':
            page += "\\e";
            break;
        case '-':
            page += "\\-";
            break;
        case '\'':
            page += "\\(aq";
            break;
        case '`':
            page += "\\(ga";
            break;
        case '^':
            page += "\\(ha";
            break;
        case '~':
            page += "\\(ti";
            break;
        default:
            page += c;
        }
    }
    return page.starts_with('.') ? "\\&" + page : page;
}

std::string man_heading(std::string_view name, int section)
{
    return fmt::format(".\\\" Made by fuelring of what its parsers know.\n"
                       ".TH {} {} \"{}\" \"fuelring {}\" \"fuelring\"\n"
                       ".ad l\n.nh\n",
                       upper(name), section, day_of_build(), version);
}

} // namespace fuelring::cli
