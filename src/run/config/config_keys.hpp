// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string_view>
#include <vector>

namespace fuelring {

/// How a table of the configuration is written.
enum class SectionShape {
    table,        ///< [name]
    list,         ///< [[name]], as often as wanted
    inline_table, ///< key = { ... }
    inline_list,  ///< key = [ { ... }, { ... } ]
};

/// One table of the configuration file. Texts here and in ConfigKey are literals: they live as long
/// as the program.
struct ConfigSection {
    std::string_view name; ///< dotted, such as inputs.fuel
    SectionShape shape;
    bool required; ///< where the table that holds it is there
    std::string_view what;
};

/// How a value is written; in words by type_name().
enum class KeyType {
    text,
    path,
    paths,
    columns,
    choice,
    date,
    flag,
    number,
    whole,
    numbers,
    texts
};

/// The `fallback` of a key that has to be there.
inline constexpr std::string_view required_key = "required";

/// One key of the configuration file. All texts are plain English and go into the manual page.
struct ConfigKey {
    std::string_view table; ///< name of a ConfigSection
    std::string_view key;
    KeyType type;
    /// What it is where it is absent, in TOML; empty: nothing, or what `what` says.
    std::string_view fallback;
    std::string_view unit;
    /// Choices separated by " | "; "LEAST to MOST" of whole numbers; else free text.
    std::string_view allowed;
    std::string_view what;
};

/// The configuration file, in the order of the manual. load_config accepts what stands here and
/// nothing else; fuelring.toml(5) is made of it. A new key begins with a row in config_keys.cpp.
std::span<const ConfigSection> config_sections();
std::span<const ConfigKey> config_keys();

/// Keys and tables that may stand in `table`; the empty name is the file itself.
std::vector<std::string_view> config_keys_in(std::string_view table);

/// A type in words, such as "list of numbers".
std::string_view type_name(KeyType type);

} // namespace fuelring
