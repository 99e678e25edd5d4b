// SPDX-License-Identifier: Apache-2.0

// Where cells are not the codes of the table, the file may be another one than was meant: an image,
// a share of cover, a model of heights. What it looks like is told by its bands, by how many
// different values there are and by their range; the complaint then says what to do about that
// kind.
#include "io/raster/fuel_look.hpp"

#include "io/gdal/open.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <vector>

namespace fuelring {

namespace {

constexpr std::size_t least_percentages = 11; ///< 0, 10, ... 100
constexpr std::size_t least_measurements = 32;

std::string in_small_letters(std::string text)
{
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

constexpr int least_bands = 3; ///< of a photograph

/// "4 bands of 8 bits with colour interpretation red, green, blue, alpha"
std::string bands_of(GDALDatasetH file)
{
    std::vector<std::string> colours;
    for (int k = 1; k <= GDALGetRasterCount(file); ++k)
        colours.push_back(in_small_letters(GDALGetColorInterpretationName(
            GDALGetRasterColorInterpretation(GDALGetRasterBand(file, k)))));
    const GDALDataType type = GDALGetRasterDataType(GDALGetRasterBand(file, 1));
    return fmt::format("{} bands of {} bits with colour interpretation {}", colours.size(),
                       GDALGetDataTypeSizeBits(type), fmt::join(colours, ", "));
}

/// Red, green and blue are among the bands.
bool has_colours(GDALDatasetH file)
{
    bool red = false, green = false, blue = false;
    for (int k = 1; k <= GDALGetRasterCount(file); ++k) {
        const GDALColorInterp colour = GDALGetRasterColorInterpretation(GDALGetRasterBand(file, k));
        red = red || colour == GCI_RedBand;
        green = green || colour == GCI_GreenBand;
        blue = blue || colour == GCI_BlueBand;
    }
    return red && green && blue;
}

/// `values` as inputs.fuel.values has it.
std::string set_values(const char* values)
{
    return fmt::format("if that is the share of conifers, set inputs.fuel.values = \"{}\" and take "
                       "out inputs.fuel.classes; else give inputs.fuel.path a raster of classes",
                       values);
}

} // namespace

FuelLook look_of(const FuelRaster& raster, const CodeCensus& census)
{
    const FuelSource& source = raster.source();
    if (raster.layer())
        return {};
    const DatasetPtr file = open_input(raster.place().first_file(), InputKind::raster,
                                       source.remote_allowed, "inputs.fuel");
    const auto& codes = census.cells_of_code;
    // Files of bands that nobody named are common: near infrared in front of red, sixteen bits.
    const bool bands_of_values = GDALGetRasterCount(file.get()) >= least_bands &&
                                 codes.size() >= least_measurements && codes.begin()->first >= 0 &&
                                 codes.rbegin()->first > 100;
    if (has_colours(file.get()) || bands_of_values)
        return {"it looks like a photograph: " + bands_of(file.get()),
                "classify it first (fuelring classify): inputs.fuel.path is a raster of classes"};
    if (codes.empty())
        return {};
    const std::int64_t least = codes.begin()->first;
    const std::int64_t most = codes.rbegin()->first;
    const std::string values =
        fmt::format("values {} to {}, {} different ones", least, most, codes.size());
    if (least >= 0 && most <= 100 && codes.size() >= least_percentages)
        return {"it looks like percentages: " + values, set_values("percent")};
    if (codes.size() >= least_measurements)
        return {"it looks like measurements (an image, heights), not classes: " + values,
                "check inputs.fuel.path and inputs.fuel.band: they name a raster of classes"};
    return {};
}

FuelLook look_of_fractions(double least, double most, const std::string& type)
{
    const std::string values =
        fmt::format("{} with fractions, from {:g} to {:g}", type, least, most);
    const std::string else_band = ", or check inputs.fuel.band: classes are whole numbers";
    if (least >= 0 && most <= 1)
        return {"it looks like a share of cover: " + values, set_values("fraction") + else_band};
    if (least >= 0 && most <= 100)
        return {"it looks like percentages: " + values, set_values("percent") + else_band};
    return {"it looks like measurements: " + values,
            "give inputs.fuel.path a raster of classes" + else_band};
}

} // namespace fuelring
