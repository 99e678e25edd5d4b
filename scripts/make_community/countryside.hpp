// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <filesystem>

namespace community {

struct CountrysideOptions {
    std::filesystem::path folder;
    int structures = 10000;
    double cell_m = 1;
    std::uint64_t seed = 1;
};

/// Writes a countryside of villages with exactly that many structures: structures.gpkg,
/// addresses.gpkg, fuel.tif, fuel_classes.csv and countryside.toml. Villages have some 900 m2 of
/// ground a structure; as much again lies wild between them. Memory does not grow with the number.
void write_countryside(const CountrysideOptions& options);

} // namespace community
