// SPDX-License-Identifier: Apache-2.0

// Configurations as texts, to read and to refuse.
#pragma once

#include "run/config/config.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <stdlib.h>

#include <fstream>
#include <string>
#include <string_view>

namespace fuelring::test {

/// The fewest keys that a configuration needs.
inline constexpr std::string_view smallest = R"([community]
name = "Tamarack Bend"
[inputs.structures]
path = "data/structures.gpkg"
[inputs.fuel]
path = "data/fuel.tif"
classes = "classes.csv"
[output]
dir = "out"
)";

/// A configuration file in a folder of its own.
class ConfigFile {
public:
    explicit ConfigFile(std::string_view text)
    {
        std::string name =
            (std::filesystem::temp_directory_path() / "fuelring-cfg-XXXXXX").string();
        REQUIRE(mkdtemp(name.data()) != nullptr);
        folder = name;
        path = folder / "town.toml";
        std::ofstream{path, std::ios::binary} << text;
    }
    ~ConfigFile()
    {
        std::error_code ignored;
        std::filesystem::remove_all(folder, ignored);
    }
    ConfigFile(const ConfigFile&) = delete;
    ConfigFile& operator=(const ConfigFile&) = delete;

    std::filesystem::path folder;
    std::filesystem::path path;
};

/// What the configuration is refused with as wrong usage; "not refused" where it is not.
inline std::string refusal(std::string_view text)
{
    const ConfigFile file{text};
    try {
        load_config(file.path);
    } catch (const Error& e) {
        CHECK(e.kind() == Failure::usage);
        return e.message();
    }
    return "not refused";
}

/// The smallest configuration with one line put in place of another.
inline std::string with(std::string_view line, std::string_view instead)
{
    std::string text{smallest};
    const std::size_t at = text.find(line);
    REQUIRE(at != text.npos);
    return text.replace(at, line.size(), instead);
}

} // namespace fuelring::test
