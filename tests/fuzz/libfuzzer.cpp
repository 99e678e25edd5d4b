// SPDX-License-Identifier: Apache-2.0

// One program for every target: the first word of FUZZ_TARGET names it. With FUZZ_SEEDS=FOLDER it
// writes the seeds there before it begins.
#include "fuzz/entries.hpp"
#include "io/gdal/setup.hpp"

#include <fuelring/error.hpp>

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>

namespace {

const fuelring::test::FuzzTarget* target = nullptr;

void write_seeds(const std::filesystem::path& folder)
{
    std::filesystem::create_directories(folder);
    int k = 0;
    for (const std::string& seed : target->seeds())
        std::ofstream{folder / ("seed-" + std::to_string(k++)), std::ios::binary} << seed;
}

} // namespace

extern "C" int LLVMFuzzerInitialize(int*, char***)
{
    fuelring::set_up_gdal();
    const char* name = std::getenv("FUZZ_TARGET");
    for (const auto& t : fuelring::test::fuzz_targets())
        if (name && t.name == name)
            target = &t;
    if (!target) {
        for (const auto& t : fuelring::test::fuzz_targets())
            std::puts(t.name.c_str());
        std::exit(name ? 2 : 0);
    }
    if (const char* folder = std::getenv("FUZZ_SEEDS"))
        write_seeds(folder);
    return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size)
{
    try {
        target->read({reinterpret_cast<const char*>(data), size});
    } catch (const fuelring::Error&) { // what a reader is to throw
    }
    return 0;
}
