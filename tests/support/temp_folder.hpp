// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <filesystem>
#include <map>
#include <string>

namespace fuelring::test {

namespace fs = std::filesystem;

/// A folder of its own, removed with its scope.
class TempFolder {
public:
    TempFolder();
    ~TempFolder();
    TempFolder(const TempFolder&) = delete;
    TempFolder& operator=(const TempFolder&) = delete;

    const fs::path& path() const { return path_; }

private:
    fs::path path_;
};

std::string text_of(const fs::path& file);
void write_text(const fs::path& file, const std::string& text);

/// Every file below `folder` with its bytes; a folder that is not there has none.
std::map<std::string, std::string> bytes_below(const fs::path& folder);

/// Sorted names of what lies in `folder`, joined by blanks; ".out.lock" left out, since it stays.
std::string names_in(const fs::path& folder);

} // namespace fuelring::test
