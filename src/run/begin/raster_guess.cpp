// SPDX-License-Identifier: Apache-2.0

// The tables of rasters: files, class table or shares, and a remark on each guess.
#include "run/begin/guesses.hpp"
#include "run/begin/raster_kinds.hpp"
#include "run/begin/words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr double narrowest_ring_m = 1.5;

/// The best one of some kinds; the first by name among equals.
template <typename Is>
const RasterGuess* best(const std::vector<RasterGuess>& guesses, Is&& is)
{
    const RasterGuess* found = nullptr;
    for (const RasterGuess& g : guesses)
        if (is(g.kind) && (!found || g.score > found->score))
            found = &g;
    return found;
}

/// A year in a name, as the date of the imagery.
std::string year_in(const std::string& name)
{
    for (const std::string& word : words_of(name))
        if (word.size() == 4 && (word.starts_with("19") || word.starts_with("20")))
            return word;
    return {};
}

void put_files(const FoundRaster& raster, const PathText& paths, DraftTable& table)
{
    if (raster.paths.size() == 1)
        table.add("path", toml_string(paths.of(raster.paths.front())));
    else if (!raster.pattern.empty())
        table.add("path", toml_string(paths.of(raster.pattern)),
                  fmt::format("{} tiles of one raster", raster.paths.size()));
    else {
        std::vector<std::string> list;
        for (const std::string& path : raster.paths)
            list.push_back(paths.of(path));
        table.add("path", toml_strings(list), fmt::format("{} tiles of one raster", list.size()));
    }
    table.path = raster.paths.front();
}

void put_crs(const FoundRaster& raster, const FoundFolder& found, DraftTable& table)
{
    if (!raster.crs.name.empty())
        return;
    const std::string crs = guess_crs(raster.extent, found);
    table.keys.push_back(
        {"crs", toml_string(crs.empty() ? "EPSG:..." : crs),
         "The file does not say its coordinate system" +
             std::string{crs.empty() ? ": find out and fill it in"
                                     : "; guessed from where its land lies. Check it"},
         !crs.empty()});
}

void put_classes(const RasterGuess& guess, const PathText& paths, DraftTable& table)
{
    const TableFit& fit = guess.fits.front();
    std::vector<std::string> others;
    for (std::size_t k = 1; k < guess.fits.size(); ++k)
        if (guess.fits[k].lacking.empty())
            others.push_back(PathText::name(guess.fits[k].table->path));
    std::string remark = fmt::format(
        "{} {} of its {} codes. Read the table: codes clash between legends, and a wrong one "
        "may fit as well",
        PathText::name(fit.table->path),
        fit.lacking.empty() ? "has all" : fmt::format("lacks {}", listed(fit.lacking)),
        guess.raster->values.size());
    if (!others.empty())
        remark += fmt::format(". These tables have them, too: {}", fmt::join(others, ", "));
    table.add("classes", toml_string(paths.of(fit.table->path)), remark);
    if (!fit.lacking.empty())
        table.add("unknown_codes", "\"unmapped\"",
                  fmt::format("Codes that the table lacks ({:.1f}% of the sampled cells) count as "
                              "unmapped: add them to the table if they mean something",
                              100 * (1 - fit.known)));
}

DraftTable fuel_table(const RasterGuess& guess, const FoundFolder& found, const PathText& paths)
{
    const FoundRaster& raster = *guess.raster;
    DraftTable table{"inputs.fuel"};
    table.remarks.push_back("Guess: " + guess.what);
    put_files(raster, paths, table);
    if (guess.kind == RasterKind::classes)
        put_classes(guess, paths, table);
    else
        table.add("values", guess.kind == RasterKind::percent ? "\"percent\"" : "\"fraction\"",
                  "Taken for the share of conifers in each cell. If it is the share of all trees, "
                  "conifers are overstated: use a raster that knows leaf types");
    if (const std::string year = year_in(name_of(raster)); !year.empty())
        table.add("date", toml_string(year), "From the name of the file");
    if (raster.bands > 1)
        table.add("band", "1",
                  fmt::format("The first of {} bands: check which has the classes", raster.bands));
    put_crs(raster, found, table);
    if (raster.cell_m > narrowest_ring_m)
        table.remarks.push_back(fmt::format(
            "Cells of {:.3g} m are wider than the ring out to {:g} m: its figures are below the "
            "resolution of the data",
            raster.cell_m, narrowest_ring_m));
    return table;
}

DraftTable elevation_table(const RasterGuess& guess, const FoundFolder& found,
                           const PathText& paths)
{
    DraftTable table{"inputs.elevation"};
    table.remarks.push_back("Guess: " + guess.what);
    put_files(*guess.raster, paths, table);
    if (!guess.raster->has_unit)
        table.keys.push_back({"unit", "\"m\"", "The file names no unit: m, ft or us-ft", true});
    put_crs(*guess.raster, found, table);
    return table;
}

} // namespace

void guess_rasters(const FoundFolder& found, const PathText& paths, Guess& guess)
{
    std::vector<RasterGuess> guesses;
    for (const FoundRaster& raster : found.rasters)
        guesses.push_back(guess_of(raster, found.tables));
    const RasterGuess* fuel = best(guesses, is_fuel);
    const RasterGuess* heights =
        best(guesses, [](RasterKind kind) { return kind == RasterKind::heights; });
    std::vector<std::string> other_fuel;
    for (const RasterGuess& g : guesses) {
        const bool used = &g == fuel || &g == heights;
        const std::string use = &g == fuel      ? "[inputs.fuel]"
                                : &g == heights ? "[inputs.elevation]"
                                                : "";
        guess.said.push_back(
            {g.raster->pattern.empty() ? g.raster->paths.front() : g.raster->pattern,
             g.what + (used ? " -> " + use : "")});
        if (!used && is_fuel(g.kind))
            other_fuel.push_back(paths.of(g.raster->paths.front()));
    }
    if (fuel) {
        DraftTable& table = guess.draft.tables.emplace_back(fuel_table(*fuel, found, paths));
        if (!other_fuel.empty())
            table.remarks.push_back(
                fmt::format("It could also be {}", fmt::join(other_fuel, ", ")));
    } else if (!guess_fuel_polygons(found, paths, guess)) {
        guess.missing.emplace_back(
            "a raster of vegetation or fuel classes, or of the share of conifers");
        DraftTable table{"inputs.fuel", {"Missing: fill in the raster and its class table"}};
        table.add("path", "\"fuel.tif\"");
        table.add("classes", "\"fuel_classes.csv\"");
        table.on = false;
        guess.draft.tables.push_back(std::move(table));
    }
    if (heights)
        guess.draft.tables.push_back(elevation_table(*heights, found, paths));
}

} // namespace fuelring
