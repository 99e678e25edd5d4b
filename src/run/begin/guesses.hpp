// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/folder/found.hpp"
#include "run/begin/draft.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What is to be said of one file: "fuel.tif: cells of 1 m, 10 codes, all in nlcd.csv: the fuel".
struct SaidFile {
    std::string path;
    std::string what;
};

/// What was guessed so far.
struct Guess {
    Draft draft{};
    std::vector<SaidFile> said{};
    const FoundLayer* fuel_layer = nullptr; ///< polygons that stand for a fuel raster
    std::vector<std::string> missing{};     ///< what a run cannot do without, or would gain by
};

/// Where paths stand: relative to the folder of the configuration where they lie below it.
class PathText {
public:
    explicit PathText(std::string folder) : folder_{std::move(folder)} {}
    std::string of(const std::string& path) const;
    /// The name of a file, for people.
    static std::string name(const std::string& path);

private:
    std::string folder_;
};

/// Adds [inputs.fuel] and [inputs.elevation], and says of every raster what it is.
void guess_rasters(const FoundFolder& found, const PathText& paths, Guess& guess);

/// Adds [inputs.fuel] of a layer of polygons, for folders without a fuel raster; false where there
/// is none.
bool guess_fuel_polygons(const FoundFolder& found, const PathText& paths, Guess& guess);

/// Adds the tables of layers, and says of every layer what it is.
void guess_layers(const FoundFolder& found, const PathText& paths, Guess& guess);

/// The system of what has none: degrees where all lies within them, else that of a file whose land
/// holds it. Empty where nothing tells.
std::string guess_crs(const Box& extent, const FoundFolder& found);

// Columns of a layer by what they hold and how they are called; empty where none will do.

std::string id_column(const FoundLayer& layer);
/// In the order in which they make an address.
std::vector<std::string> address_columns_of(const FoundLayer& layer);
std::string name_column(const FoundLayer& layer);
std::string owner_column(const FoundLayer& layer);
/// x and y of a table.
std::optional<std::array<std::string, 2>> coordinate_columns(const FoundLayer& layer);

} // namespace fuelring
