// SPDX-License-Identifier: Apache-2.0

// A raster has no hatch in these styles: ground that is not known gets a grey of its own there.
#include "io/geopackage/raster_style.hpp"

#include "base/colours/map_colours.hpp"
#include "change/overlay.hpp"
#include "io/geopackage/layer_style.hpp"

#include <fuelring/fuel_classes.hpp>

#include <fmt/format.h>

#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr double square_metres_of_hectare = 10000;
constexpr const char* not_known = "not mapped (unknown, not zero)";

std::string pipe(const std::string& renderer)
{
    return fmt::format("{}<qgis version=\"3.22.0\" styleCategories=\"Symbology\">\n<pipe>\n{}"
                       "</pipe>\n</qgis>\n",
                       qml_begin, renderer);
}

/// A colour for each value; other values are clear.
struct PaletteEntry {
    int value;
    std::string colour;
    const char* label;
};
std::string palette(int band, const std::vector<PaletteEntry>& entries)
{
    std::string list;
    for (const PaletteEntry& e : entries)
        list +=
            fmt::format("<paletteEntry value=\"{}\" color=\"{}\" alpha=\"255\" label=\"{}\"/>\n",
                        e.value, e.colour, e.label);
    return pipe(fmt::format("<rasterrenderer type=\"paletted\" band=\"{}\" opacity=\"1\" "
                            "alphaBand=\"-1\">\n<colorPalette>\n{}</colorPalette>\n"
                            "</rasterrenderer>\n",
                            band, list));
}

} // namespace

std::string surface_style(const std::vector<GainClass>& gain, double cell_m2)
{
    std::string items =
        "<item value=\"0\" color=\"#ffffff\" alpha=\"0\" label=\"nothing to save\"/>\n";
    // A bound belongs to the class above it, and here a class ends with its value.
    for (std::size_t k = gain.size(); k-- > 0;) {
        const float below = std::nextafter(static_cast<float>(k > 0 ? gain[k - 1].from : 0), 0.0F);
        items += fmt::format("<item value=\"{}\" color=\"{}\" alpha=\"255\" label=\"{}\"/>\n",
                             k > 0 ? fmt::format("{:.9g}", below) : std::string{"inf"},
                             report::hex_of(report::map_colours().gain[k]),
                             gain_class_name(k, static_cast<double>(gain[k].cells) * cell_m2 /
                                                    square_metres_of_hectare));
    }
    return pipe(fmt::format(
        "<rasterrenderer type=\"singlebandpseudocolor\" band=\"1\" opacity=\"1\" alphaBand=\"-1\" "
        "nodataColor=\"{}\" classificationMin=\"0\" classificationMax=\"{:.9g}\">\n"
        "<rastershader><colorrampshader colorRampType=\"DISCRETE\" classificationMode=\"1\" "
        "clip=\"0\">\n{}</colorrampshader></rastershader>\n</rasterrenderer>\n",
        report::hex_of(report::map_colours().ground), gain.empty() ? 1 : gain.front().from, items));
}

std::string fuel_style()
{
    const std::string other = "#dcd9c8";
    const std::string bare = "#f4f4f2";
    const auto code = [](FuelGroup group) { return static_cast<int>(group); };
    return palette(
        2, {{code(FuelGroup::conifer), "#4a4a4a", "conifer"},
            {code(FuelGroup::mixed), "#8c8c8c", "mixed"},
            {code(FuelGroup::broadleaved), other, "broadleaved"},
            {code(FuelGroup::grass), other, "grass"},
            {code(FuelGroup::shrub), other, "shrub"},
            {code(FuelGroup::built), bare, "built"},
            {code(FuelGroup::water), bare, "water"},
            {code(FuelGroup::bare), bare, "bare"},
            {code(FuelGroup::unmapped), report::hex_of(report::map_colours().hatch), not_known}});
}

std::string change_style()
{
    const auto code = [](CellChange change) { return static_cast<int>(change); };
    return palette(
        1, {{code(CellChange::removed), report::hex_of(report::map_colours().gain[0]), "removed"},
            {code(CellChange::regrown), report::hex_of(report::map_colours().drawn), "regrown"},
            {code(CellChange::unchanged), "#b4b4b4", "unchanged conifers"},
            {code(CellChange::no_conifer), "#f4f4f2", "no conifers at either date"},
            {code(CellChange::unmapped), report::hex_of(report::map_colours().hatch),
             "not mapped at either date (unknown, not zero)"},
            {code(CellChange::one_run_only), "#dcd9c8", "reached by one run only"}});
}

} // namespace fuelring
