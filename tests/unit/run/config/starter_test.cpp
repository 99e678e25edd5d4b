// SPDX-License-Identifier: Apache-2.0
#include "run/config/config.hpp"
#include "run/config/config_keys.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <stdlib.h>
#include <toml++/toml.h>

#include <cctype>
#include <fstream>
#include <sstream>
#include <string>

using namespace fuelring;

namespace {

/// The starter with the # taken away from settings; a remark has a blank behind it.
std::string with_every_key(int& taken)
{
    std::ifstream starter{STARTER_FILE};
    std::ostringstream text;
    for (std::string line; std::getline(starter, line); text << '\n') {
        const bool setting =
            line.size() > 1 && line[0] == '#' &&
            (line[1] == '[' || std::islower(static_cast<unsigned char>(line[1])) != 0);
        taken += setting ? 1 : 0;
        text << line.substr(setting ? 1 : 0);
    }
    return text.str();
}

} // namespace

TEST_CASE("the starter configuration is valid as it stands")
{
    const Config config = load_config(STARTER_FILE);
    CHECK(config.community_name == "My Town");
    CHECK_FALSE(config.inputs.addresses);
    CHECK_FALSE(config.treatment);
    CHECK_FALSE(config.uncertainty);
}

TEST_CASE("the starter configuration is valid with every key that it explains")
{
    int taken = 0;
    const std::string text = with_every_key(taken);
    CHECK(taken > 60); // the control: it was not read in vain
    std::string folder =
        (std::filesystem::temp_directory_path() / "fuelring-start-XXXXXX").string();
    REQUIRE(mkdtemp(folder.data()) != nullptr);
    const std::filesystem::path file = std::filesystem::path{folder} / "town.toml";
    std::ofstream{file} << text;
    try {
        const Config config = load_config(file);
        CHECK(config.inputs.addresses);
        CHECK(config.treatment);
        CHECK(config.uncertainty);
        CHECK(config.stretch.rows.size() == 1);
    } catch (const Error& e) {
        FAIL(e.message());
    }
    std::filesystem::remove_all(folder);
}

TEST_CASE("the starter configuration explains every key that the program knows")
{
    int taken = 0;
    const toml::table starter = toml::parse(with_every_key(taken));
    for (const ConfigSection& section : config_sections())
        for (const ConfigKey& key : config_keys()) {
            if (key.table != section.name)
                continue;
            const bool list =
                section.shape == SectionShape::list || section.shape == SectionShape::inline_list;
            std::string path{section.name};
            path += list ? "[0]." : ".";
            path += key.key;
            CAPTURE(path);
            CHECK(
                (starter.at_path(path) || key.key == "hectares" || key.key == "box")); // one of two
        }
}
