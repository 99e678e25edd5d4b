// SPDX-License-Identifier: Apache-2.0
#include "cli/program.hpp"
#include "manual.hpp"
#include "run/config/config_keys.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <optional>

namespace fuelring::manual {

namespace {

constexpr std::string_view mark = "<!-- table: ";
constexpr std::string_view mark_end = " -->";
constexpr std::string_view end_line = "<!-- end -->\n";

/// Text for a cell: a bar would end it.
std::string cell(std::string_view text)
{
    std::string result;
    for (const char c : text)
        result += c == '|' ? std::string{"\\|"} : std::string{c};
    return result;
}

std::string commands_table(const CLI::App& app)
{
    std::string table = "| command | what it does |\n|---|---|\n";
    for (const CLI::App* command : commands_of(app))
        table += fmt::format("| `{}` | {} |\n", command->get_name(),
                             cell(sentence(command->get_description())));
    return table;
}

std::string options_table(const CLI::App& command)
{
    std::string table = "| argument or option | what it does |\n|---|---|\n";
    for (const bool positional : {true, false})
        for (const CLI::Option* option : options_of(command, positional)) {
            std::string head = positional ? option->get_option_text()
                                          : fmt::format("{}", fmt::join(names_of(*option), "`, `"));
            if (!positional && takes_value(*option))
                head += " " + option->get_option_text();
            std::string what = sentence(option->get_description());
            for (const CLI::Option* other : option->get_needs())
                what += fmt::format(" Only with `{}`.", names_of(*other).back());
            for (const CLI::Option* other : option->get_excludes())
                what += fmt::format(" Not with `{}`.", names_of(*other).back());
            table += fmt::format("| `{}` | {} |\n", cell(head), cell(what));
        }
    return table;
}

std::string exit_codes_table()
{
    std::string table = "| code | meaning |\n|---|---|\n";
    for (const cli::ExitCode& c : cli::exit_codes())
        table += fmt::format("| {} | {} |\n", c.code, cell(c.meaning));
    return table;
}

/// "number in m, above 0": type, unit and range of a key.
std::string kind_of_value(const ConfigKey& key)
{
    if (key.type == KeyType::choice)
        return std::string{key.allowed};
    std::string text{type_name(key.type)};
    if (!key.unit.empty())
        text += fmt::format(" in {}", key.unit);
    if (!key.allowed.empty())
        text += fmt::format(", {}", key.allowed);
    return text;
}

std::string keys_table()
{
    std::string page;
    for (const ConfigSection& section : config_sections()) {
        std::string rows;
        for (const ConfigKey& key : config_keys())
            if (key.table == section.name)
                rows += fmt::format("| `{}` | {} | {} | {} |\n", key.key, cell(kind_of_value(key)),
                                    key.fallback == required_key || key.fallback.empty()
                                        ? std::string{key.fallback}
                                        : fmt::format("`{}`", cell(key.fallback)),
                                    cell(sentence(key.what)));
        page += fmt::format(
            "{}### {}\n\n{}\n", page.empty() ? "" : "\n", section.name,
            cell(sentence(std::string{section.what} + (section.required ? "; required" : ""))));
        if (!rows.empty())
            page += "\n| key | value | default | what it is |\n|---|---|---|---|\n" + rows;
    }
    return page;
}

std::string files_table(std::string_view command)
{
    std::string table;
    for (const OutputFile& file : output_files())
        if (file.command == command)
            table += fmt::format("| {} | {} |\n", file.names, file.what);
    return table.empty() ? table : "| file | what it is |\n|---|---|\n" + table;
}

std::string audiences_table()
{
    std::string table = "| file | who | why |\n|---|---|---|\n";
    for (const OutputFile& file : output_files())
        table += fmt::format("| {} | {} | {} |\n", file.names, file.who, file.why);
    return table;
}

/// "m², 3 decimals", "whole number", "text".
std::string kind_of_cells(const ColumnHead& head)
{
    using Type = GpkgField::Type;
    if (head.type != Type::real)
        return head.type == Type::text ? "text" : "whole number";
    const std::string unit = head.unit.empty() ? "number" : head.unit;
    return head.decimals > 0 ? fmt::format("{}, {} decimals", unit, head.decimals) : unit;
}

/// A row for every column that has help, together with those after it that have none.
std::string columns_table(const std::vector<ColumnHead>& heads)
{
    struct TableRow {
        std::string names, kinds, help, last_kind;
    };
    std::vector<TableRow> rows;
    for (const ColumnHead& head : heads) {
        const std::string kind = kind_of_cells(head);
        if (!head.help.empty() || rows.empty())
            rows.push_back({{}, kind, head.help, kind});
        TableRow& row = rows.back();
        row.names += fmt::format("{}`{}`", row.names.empty() ? "" : ", ", head.name);
        if (kind != row.last_kind)
            row.kinds += "; " + kind;
        row.last_kind = kind;
    }
    std::string table = "| column | values | what it is |\n|---|---|---|\n";
    for (const TableRow& row : rows)
        table += fmt::format("| {} | {} | {} |\n", row.names, row.kinds, cell(row.help));
    return table;
}

/// The table of a name; nothing where its source is not known here.
std::optional<std::string> table_of(std::string_view name, const CLI::App& app)
{
    constexpr std::string_view options = "options of ";
    constexpr std::string_view files = "files of ";
    constexpr std::string_view columns = "columns of ";
    if (name == "commands")
        return commands_table(app);
    if (name == "exit codes")
        return exit_codes_table();
    if (name == "configuration keys")
        return keys_table();
    if (name == "keys of run.json")
        return schema_tables("run.schema.json", "");
    if (name == "keys of summaries")
        return schema_tables("summary.schema.json", "`--json` of ");
    if (name == "audiences")
        return audiences_table();
    if (name.starts_with(options))
        for (const CLI::App* command : commands_of(app))
            if (command->get_name() == name.substr(options.size()))
                return options_table(*command);
    if (name.starts_with(files))
        if (std::string table = files_table(name.substr(files.size())); !table.empty())
            return table;
    if (name.starts_with(columns))
        for (const FileColumns& file : all_tables())
            if (file.file == name.substr(columns.size()))
                return columns_table(file.columns);
    return std::nullopt;
}

} // namespace

std::string with_tables(const std::string& page, const CLI::App& app)
{
    std::string result;
    std::size_t at = 0;
    for (std::size_t begin = page.find(mark); begin != page.npos; begin = page.find(mark, at)) {
        const std::size_t line_end = page.find('\n', begin);
        const std::size_t name_end = page.find(mark_end, begin);
        const std::size_t end = page.find(end_line, begin);
        if (end == page.npos || name_end > line_end)
            throw Error{Failure::usage, "a table has no end", page.substr(begin, line_end - begin),
                        "close it by <!-- end -->"};
        const std::string name = page.substr(begin + mark.size(), name_end - begin - mark.size());
        result += page.substr(at, line_end + 1 - at);
        const std::optional<std::string> table = table_of(name, app);
        if (!table)
            throw Error{Failure::usage, "no table has this name", name,
                        "scripts/make_manual/tables.cpp lists the names"};
        result += "\n" + *table + "\n";
        at = end;
    }
    return result + page.substr(at);
}

} // namespace fuelring::manual
