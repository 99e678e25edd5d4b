// SPDX-License-Identifier: Apache-2.0
#include "fuzz/seeds.hpp"

#include "run/cache/cache_db.hpp"

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <iterator>

namespace fuelring::test {

namespace {

namespace fs = std::filesystem;

const fs::path source{FUELRING_SOURCE_DIR};

std::string bytes_of(const fs::path& path)
{
    std::ifstream file{path, std::ios::binary};
    return {std::istreambuf_iterator<char>{file}, {}};
}

std::vector<std::string> files_in(const fs::path& folder, const char* extension)
{
    std::vector<std::string> files;
    for (const auto& entry : fs::recursive_directory_iterator{folder})
        if (entry.path().extension() == extension)
            files.push_back(bytes_of(entry.path()));
    return files;
}

} // namespace

std::vector<std::string> config_seeds()
{
    std::vector<std::string> seeds = files_in(source / "sample_data", ".toml");
    const std::vector<std::string> shipped = files_in(source / "config", ".toml");
    seeds.insert(seeds.end(), shipped.begin(), shipped.end());
    seeds.emplace_back("[community]\nname='x'\n[inputs.structures]\npath='s'\nattributes=[{column="
                       "'roof',multipliers='m.csv',unknown=2}]\n[inputs.fuel]\npath='f'\nclasses="
                       "'c'\ndate=2024-07-15\n[output]\ndir='out'\n[uncertainty]\n");
    return seeds;
}

std::vector<std::string> class_table_seeds()
{
    return files_in(source / "config/fuel-classes", ".csv");
}

std::vector<std::string> multiplier_seeds()
{
    return files_in(source / "config/susceptibility", ".csv");
}

std::vector<std::string> matrix_seeds()
{
    return {"map_class,removed,unchanged\nremoved,40,3\nunchanged,2,55\n",
            "\xEF\xBB\xBFmap_class,\"a, b\",c\r\n# a remark\r\n\"a, b\",1,0\r\nc,0,2\r\n"};
}

std::vector<std::string> state_seeds()
{
    const fs::path file = fs::temp_directory_path() / ("fuelring-seed-" + std::to_string(getpid()));
    {
        StateWriter state{file};
        for (int k = 0; k < 4; ++k)
            state.keep({k % 3, k, -k}, raw_digest(std::to_string(k)), "a result");
        state.say("run", "this run");
        state.finish();
    }
    std::vector<std::string> seeds{bytes_of(file)};
    fs::remove(file);
    return seeds;
}

std::vector<std::string> run_json_seeds()
{
    return {R"({"generation": 3, "run_id": "a-1", "begun_by": "a-1", "files": [{"name": "a/b.csv",
        "size": 7, "sha256": "ab"}], "carried": [], "configuration": {"rings": {"outer_m": [1.5, 10],
        "weight": [0.5, 0.5], "near_m": 10}}, "crs": {"rule": "scaled"}})"};
}

} // namespace fuelring::test
