// SPDX-License-Identifier: Apache-2.0

// The script knows three things of every command: its options, which of them take a value, and what
// kind of thing each value and each argument is. It asks nothing of the bash-completion package and
// leaves names of files to readline, which knows how to quote them.

#include "manual.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace fuelring::manual {

namespace {

constexpr std::string_view script =
    R"(# bash completion for fuelring, generated from its options.
_fuelring()
{{
    local word=${{COMP_WORDS[COMP_CWORD]}} at=$((COMP_CWORD - 1)) k
    local command= options= valued= places=() kind= place=0
    COMPREPLY=()
    # --log=json is three words to bash
    if [[ $word == '=' ]]; then
        word=
    elif [[ ${{COMP_WORDS[at]}} == '=' ]]; then
        at=$((at - 1))
    fi
    for ((k = 1; k < COMP_CWORD; k++)); do
        if [[ ${{COMP_WORDS[k]}} != -* ]]; then
            command=${{COMP_WORDS[k]}}
            break
        fi
    done
    case $command in
    '')
        options='{global}'
        places=('{commands}')
        ;;
{blocks}    esac
    if [[ $at -gt 0 && " $valued " == *" ${{COMP_WORDS[at]}} "* ]]; then
        case "$command ${{COMP_WORDS[at]}}" in
{values}        esac
    elif [[ $word == -* ]]; then
        kind=$options
    else
        for ((k++; k < COMP_CWORD; k++)); do
            if [[ " $valued " == *" ${{COMP_WORDS[k]}} "* ]]; then
                [[ ${{COMP_WORDS[k + 1]}} == '=' ]] && k=$((k + 1))
                k=$((k + 1))
            elif [[ ${{COMP_WORDS[k]}} != -* ]]; then
                place=$((place + 1))
            fi
        done
        [[ $place -lt ${{#places[@]}} ]] || place=$((${{#places[@]}} - 1))
        [[ $place -lt 0 ]] || kind=${{places[place]}}
    fi
    case $kind in
    @folder) compopt -o dirnames ;;
    @file) compopt -o default ;;
    @any) ;;
    *) mapfile -t COMPREPLY < <(compgen -W "$kind" -- "$word") ;;
    esac
}}
complete -F _fuelring fuelring
)";

/// What to complete in the place of a value: words, or a kind of thing that the script knows.
std::string kind_of(const CLI::Option& option)
{
    const std::vector<std::string> choices = choices_of(option);
    if (!choices.empty())
        return fmt::format("{}", fmt::join(choices, " "));
    std::string name = option.get_option_text();
    name = name.substr(0, name.find_first_of(" .[")); // SHARD... is a SHARD
    constexpr std::array folders = {"DIR", "RUN", "BEFORE", "AFTER", "SHARD"};
    constexpr std::array files = {"FILE", "CONFIG"};
    if (std::ranges::find(folders, name) != folders.end())
        return "@folder";
    if (std::ranges::find(files, name) != files.end())
        return "@file";
    return "@any";
}

std::string all_names(const CLI::App& command, bool only_valued)
{
    std::vector<std::string> names;
    for (const CLI::Option* option : options_of(command, false))
        if (!only_valued || takes_value(*option))
            for (const std::string& name : names_of(*option))
                names.push_back(name);
    return fmt::format("{}", fmt::join(names, " "));
}

std::string block_of(const CLI::App& command)
{
    std::vector<std::string> places;
    for (const CLI::Option* argument : options_of(command, true))
        places.push_back(fmt::format("'{}'", kind_of(*argument)));
    return fmt::format("    {})\n        options='{}'\n        valued='{}'\n        places=({})\n"
                       "        ;;\n",
                       command.get_name(), all_names(command, false), all_names(command, true),
                       fmt::join(places, " "));
}

std::string values_of(const CLI::App& command)
{
    std::string cases;
    for (const CLI::Option* option : options_of(command, false))
        if (takes_value(*option))
            for (const std::string& name : names_of(*option))
                cases += fmt::format("        '{} {}') kind='{}' ;;\n", command.get_name(), name,
                                     kind_of(*option));
    return cases;
}

} // namespace

std::string bash_completion(const CLI::App& app)
{
    std::vector<std::string> commands;
    std::string blocks;
    std::string values;
    for (const CLI::App* command : commands_of(app)) {
        commands.push_back(command->get_name());
        blocks += block_of(*command);
        values += values_of(*command);
    }
    return fmt::format(fmt::runtime(script), fmt::arg("global", all_names(app, false)),
                       fmt::arg("commands", fmt::join(commands, " ")), fmt::arg("blocks", blocks),
                       fmt::arg("values", values));
}

} // namespace fuelring::manual
