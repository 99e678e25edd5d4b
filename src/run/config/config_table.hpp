// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"

#include <fuelring/error.hpp>

#include <toml++/toml.h>

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// One table of the configuration, read key by key with a complaint that names file, line and key.
/// A key that no reader knows is refused when the table is taken up, before anything is missed.
/// Refers to the parsed file, which must outlive it and all tables taken from it.
class ConfigTable {
public:
    /// The keys that may stand in a table of this dotted name; the root's is empty.
    using KeysIn = std::function<std::vector<std::string_view>(std::string_view table)>;

    /// Throws: Error{usage} for a key that `keys_in(name)` lacks, with the nearest that it has;
    /// Faults for several. The
    /// readers below throw std::logic_error for such a key: what is read is declared first.
    ConfigTable(const toml::table& table, std::string name, const std::filesystem::path& file,
                KeysIn keys_in);

    bool has(std::string_view key) const { return find(key) != nullptr; }
    /// The table under `key`; empty where there is none. Throws: Error{usage} for another type.
    std::optional<ConfigTable> table(std::string_view key) const;
    /// Throws: Error{usage} also where there is none.
    ConfigTable required_table(std::string_view key) const;

    // Values: empty (or `otherwise`) where the key is absent. Throw: Error{usage} for another type.
    /// Never holds a NUL; a text that is there but empty is refused.
    std::string text(std::string_view key) const;
    std::string required_text(std::string_view key) const;
    /// A path: absolute as it stands, or relative to the file; connection strings are left alone.
    std::string required_path(std::string_view key) const;
    /// The files of a raster: a path, a pattern of names, or a list of either; a list of one is
    /// that one. Throws: Error{input} where a pattern finds no file.
    RasterFiles required_raster(std::string_view key) const;
    std::optional<std::string> date(std::string_view key) const; ///< a TOML date, or text
    bool flag(std::string_view key, bool otherwise) const;
    /// Finite, and of at most 1e12: sums and products of such are finite, too.
    std::optional<double> number(std::string_view key) const;
    double number_from_0(std::string_view key, double otherwise) const;
    std::optional<std::int64_t> whole(std::string_view key, std::int64_t least,
                                      std::int64_t most) const;
    int whole(std::string_view key, std::int64_t least, std::int64_t most, int otherwise) const
    {
        return static_cast<int>(whole(key, least, most).value_or(otherwise));
    }
    /// One of some words; the first where the key is absent.
    std::string choice(std::string_view key, std::initializer_list<std::string_view> words) const;
    std::optional<std::vector<double>>
    numbers(std::string_view key) const; ///< as number, not empty
    std::optional<std::vector<std::string>> texts(std::string_view key) const; ///< not empty
    /// One text, or a list of them. Throws: Error{usage} where the key is absent, too.
    std::vector<std::string> text_or_texts(std::string_view key) const;
    /// True for `key = []`, which numbers() and texts() refuse.
    bool is_empty_list(std::string_view key) const;
    /// The tables of a list, which may be empty; nothing where the key is absent.
    std::optional<std::vector<ConfigTable>> tables(std::string_view key) const;

    /// The complaint about a key (of this table) whose value does not do.
    Error wrong(std::string_view key, const std::string& what, std::string remedy = {}) const;

    const std::string& name() const { return name_; }
    /// The dotted name of a key of this table, as messages have it.
    std::string name_of(std::string_view key) const;

private:
    std::string absolute(const std::string& path) const;
    const toml::node* find(std::string_view key) const;
    const toml::array* list(std::string_view key, std::string_view what) const;
    Error expected(std::string_view key, std::string_view what) const;
    std::string place(std::string_view key) const;
    void require_sane(std::string_view key, double value) const;

    const toml::table& table_;
    std::string name_;
    std::filesystem::path file_;
    KeysIn keys_in_;
    std::vector<std::string_view> known_;
};

} // namespace fuelring
