// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <stdlib.h> // mkdtemp

#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>

namespace fuelring {

/// An empty folder that goes away with its scope.
class ScratchFolder {
public:
    ScratchFolder()
    {
        std::string name = (std::filesystem::temp_directory_path() / "fuelring.XXXXXX").string();
        if (!mkdtemp(name.data()))
            throw std::runtime_error{"no scratch folder"};
        path_ = name;
    }
    ~ScratchFolder()
    {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;

    std::filesystem::path operator/(const char* name) const { return path_ / name; }
    bool empty() const { return std::filesystem::is_empty(path_); }

private:
    std::filesystem::path path_;
};

inline std::string bytes_of(const std::filesystem::path& file)
{
    std::ifstream in{file, std::ios::binary};
    return {std::istreambuf_iterator<char>{in}, {}};
}

} // namespace fuelring
