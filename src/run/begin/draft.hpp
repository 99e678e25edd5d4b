// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// A key with its value as TOML writes it, and why it was guessed.
struct DraftKey {
    std::string key;
    std::string value;
    std::string remark{};
    bool on = true; ///< false: a comment, to be filled in or turned on
};

/// A table of the configuration to be.
struct DraftTable {
    std::string name;
    std::vector<std::string> remarks{};
    std::vector<DraftKey> keys{};
    std::string path{}; ///< of its file, to find it in what a trial says
    bool on = true;     ///< false: all of it is a comment

    void add(std::string key, std::string value, std::string remark = {})
    {
        keys.push_back({std::move(key), std::move(value), std::move(remark)});
    }
    DraftKey* find(std::string_view key);
    /// Makes it a comment, and says why.
    void leave_out(const std::string& why);
};

/// A whole configuration.
struct Draft {
    std::vector<std::string> head{};
    std::vector<DraftTable> tables{};

    DraftTable* find(std::string_view name);
    std::string text() const;
};

/// A text as TOML writes it.
std::string toml_string(std::string_view text);
std::string toml_strings(const std::vector<std::string>& texts);

} // namespace fuelring
