// SPDX-License-Identifier: Apache-2.0

// The fuzz targets without libFuzzer (scripts/fuzz has that): their seeds, everything that fuzzing
// ever found, and seeded damage of both, under whatever sanitizer the tests are built with.
#include "damage/damage.hpp"
#include "fuzz/entries.hpp"
#include "io/gdal/setup.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <iterator>

using namespace fuelring;
using namespace fuelring::test;

namespace {

constexpr std::uint64_t variants = 250;

/// True where the target reads the bytes, false where it refuses them; anything else fails.
bool is_read(const FuzzTarget& target, std::string_view bytes)
{
    try {
        target.read(bytes);
        return true;
    } catch (const Error&) {
        return false;
    }
}

std::vector<std::string> findings(const std::string& name)
{
    std::vector<std::string> files;
    const std::filesystem::path folder =
        std::filesystem::path{FUELRING_SOURCE_DIR} / "tests/fuzz/found" / name;
    if (std::filesystem::is_directory(folder))
        for (const auto& entry : std::filesystem::directory_iterator{folder}) {
            std::ifstream file{entry.path(), std::ios::binary};
            files.emplace_back(std::istreambuf_iterator<char>{file},
                               std::istreambuf_iterator<char>{});
        }
    return files;
}

} // namespace

TEST_CASE("every fuzz target reads its seeds, and survives what was found and what is damaged")
{
    set_up_gdal();
    for (const FuzzTarget& target : fuzz_targets()) {
        CAPTURE(target.name);
        std::vector<std::string> files = target.seeds();
        REQUIRE_FALSE(files.empty());
        bool any_read = false;
        for (const std::string& seed : files)
            any_read = is_read(target, seed) || any_read;
        CHECK(any_read); // or the target fuzzes its first line only
        for (std::string& finding : findings(target.name)) {
            CHECK_NOTHROW(is_read(target, finding));
            files.push_back(std::move(finding));
        }
        for (std::uint64_t k = 0; k < variants; ++k) {
            CAPTURE(k);
            CHECK_NOTHROW(is_read(target, damaged(files[k % files.size()], k).bytes));
        }
    }
}
