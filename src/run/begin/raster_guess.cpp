// SPDX-License-Identifier: Apache-2.0

// What a raster is for: by its bands, by the values that were sampled, and where these leave it
// open by its name. Codes of one legend are codes of others, too: the table of which most rows
// occur is taken, and the others that fit are named.
#include "run/begin/guesses.hpp"
#include "run/begin/words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr double enough_known = 0.9; ///< of sampled cells, for a table to be meant
constexpr std::size_t least_percentages = 11;
constexpr std::size_t most_codes = 400;
constexpr std::size_t most_listed = 8;
constexpr double narrowest_ring_m = 1.5;

enum class Kind { classes, percent, fraction, heights, surface, image, unknown };

struct TableFit {
    const FoundTable* table;
    double known = 0;     ///< part of the sampled cells whose code it has
    double occurring = 0; ///< part of its codes that occur
    std::vector<std::int64_t> lacking{};
    double score() const { return known + occurring + (table->in_folder ? 1 : 0); }
};

struct RasterGuess {
    const FoundRaster* raster;
    Kind kind = Kind::unknown;
    double score = 0;
    std::vector<TableFit> fits{}; ///< the best first
    std::string what{};
};

std::string name_of(const FoundRaster& raster)
{
    return PathText::name(raster.paths.front());
}

bool is_like_heights(const std::string& name)
{
    return hints_at(name, {"=dem", "=dtm", "=dgm", "=mnt", "=mdt", "elev", "height", "terrain",
                           "topo", "alti", "hoehe"});
}

bool is_like_surface(const std::string& name)
{
    return hints_at(name,
                    {"=dsm", "=dom", "=mns", "=chm", "=ndsm", "=vhm", "canopyheight", "surface"});
}

/// Names that no raster of classes has.
bool is_surely_share(const std::string& name)
{
    return hints_at(name, {"conif", "canopy", "percent", "pct", "perc", "share", "=tcc", "needle",
                           "nadel", "resin", "fraction"});
}

bool is_like_share(const std::string& name)
{
    return is_surely_share(name) || hints_at(name, {"cover", "density"});
}

bool is_like_fuel(const std::string& name)
{
    return hints_at(name, {"fuel", "veg", "land", "=lc", "nlcd", "class", "forest", "leaf", "=fbp",
                           "fbfm", "corine", "worldcover", "wald", "foret", "tree"});
}

std::string listed(const std::vector<std::int64_t>& codes)
{
    const std::size_t n = std::min(codes.size(), most_listed);
    return fmt::format(
        "{}{}", fmt::join(codes.begin(), codes.begin() + static_cast<std::ptrdiff_t>(n), ", "),
        codes.size() > n ? ", ..." : "");
}

/// "41, 42, 43, 71"
std::string codes_of(const FoundRaster& raster)
{
    std::vector<std::int64_t> codes;
    for (const auto& [value, cells] : raster.values)
        codes.push_back(static_cast<std::int64_t>(value));
    return listed(codes);
}

std::vector<TableFit> fits_of(const FoundRaster& raster, const std::vector<FoundTable>& tables)
{
    std::vector<TableFit> fits;
    for (const FoundTable& table : tables) {
        TableFit fit{&table};
        std::int64_t known = 0;
        std::size_t occurring = 0;
        for (const auto& [value, cells] : raster.values)
            if (table.classes.find(static_cast<std::int64_t>(value))) {
                known += cells;
                ++occurring;
            } else {
                fit.lacking.push_back(static_cast<std::int64_t>(value));
            }
        fit.known = static_cast<double>(known) / static_cast<double>(raster.sampled);
        fit.occurring =
            static_cast<double>(occurring) / static_cast<double>(table.classes.rows().size() - 1);
        if (fit.known >= enough_known)
            fits.push_back(std::move(fit));
    }
    std::stable_sort(fits.begin(), fits.end(),
                     [](const TableFit& a, const TableFit& b) { return a.score() > b.score(); });
    return fits;
}

Kind kind_of(const FoundRaster& raster, const std::string& name, const std::vector<TableFit>& fits)
{
    const bool in_percent = raster.least >= 0 && raster.most <= 100;
    if (raster.bands >= 3 || raster.colours)
        return Kind::image;
    if (raster.sampled == 0)
        return Kind::unknown;
    if (is_like_surface(name))
        return Kind::surface;
    if (is_like_heights(name) || raster.has_unit)
        return Kind::heights;
    const bool all_known = !fits.empty() && fits.front().lacking.empty();
    if (raster.whole_numbers && in_percent && raster.values.size() >= least_percentages &&
        (is_surely_share(name) || (is_like_share(name) && !all_known)))
        return Kind::percent;
    const bool is_mask = raster.whole_numbers && raster.least >= 0 && raster.most <= 1;
    if (is_mask && is_surely_share(name))
        return Kind::fraction;
    if (raster.whole_numbers && raster.all_values && raster.values.size() <= most_codes &&
        !fits.empty())
        return Kind::classes;
    if (raster.least >= 0 && raster.most <= 1)
        return Kind::fraction;
    if (in_percent && (is_like_share(name) ||
                       (raster.whole_numbers && raster.values.size() >= least_percentages)))
        return Kind::percent;
    if (!raster.whole_numbers || raster.values.size() > most_codes)
        return raster.least > -500 && raster.most < 9000 ? Kind::heights : Kind::unknown;
    return Kind::unknown;
}

std::string in_words(const RasterGuess& guess)
{
    const FoundRaster& r = *guess.raster;
    switch (guess.kind) {
    case Kind::classes: {
        const TableFit& fit = guess.fits.front();
        return fmt::format("{} codes ({}): {} {}", r.values.size(), codes_of(r),
                           fit.lacking.empty() ? "fits" : "mostly fits",
                           PathText::name(fit.table->path));
    }
    case Kind::percent:
        return fmt::format("values {:g} to {:g}: a share in percent", r.least, r.most);
    case Kind::fraction:
        return fmt::format("values {:g} to {:g}: a share as a fraction", r.least, r.most);
    case Kind::heights:
        return fmt::format("values {:.0f} to {:.0f}: heights", r.least, r.most);
    case Kind::surface:
        return "heights of trees and roofs, not of the ground: not used";
    case Kind::image:
        return fmt::format("{} bands: an image, which has to be classified first", r.bands);
    case Kind::unknown:
        return r.sampled == 0 ? "no data in any cell that was sampled: not used"
                              : fmt::format("{} values ({}) of no class table: not used",
                                            r.values.size(), codes_of(r));
    }
    return {};
}

RasterGuess guess_of(const FoundRaster& raster, const std::vector<FoundTable>& tables)
{
    RasterGuess guess{&raster};
    const std::string name = name_of(raster);
    if (raster.sampled > 0 && raster.whole_numbers && raster.bands < 3)
        guess.fits = fits_of(raster, tables);
    guess.kind = kind_of(raster, name, guess.fits);
    if (guess.kind == Kind::classes)
        guess.score = 5 + guess.fits.front().score() + (is_like_fuel(name) ? 2 : 0);
    else if (guess.kind == Kind::percent || guess.kind == Kind::fraction)
        guess.score = 3 + (is_like_share(name) ? 3 : 0) + (is_like_fuel(name) ? 1 : 0);
    else if (guess.kind == Kind::heights)
        guess.score = 1 + (is_like_heights(name) ? 3 : 0);
    guess.what =
        fmt::format("{}{} band{} of {:.3g} m cells, {}",
                    raster.paths.size() > 1 ? fmt::format("{} tiles, ", raster.paths.size()) : "",
                    raster.bands, raster.bands == 1 ? "" : "s", raster.cell_m, in_words(guess));
    return guess;
}

bool is_fuel(Kind kind)
{
    return kind == Kind::classes || kind == Kind::percent || kind == Kind::fraction;
}

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
        "{} {} of its {} codes. Read the table: codes clash between legends, and a wrong one looks "
        "well",
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
    if (guess.kind == Kind::classes)
        put_classes(guess, paths, table);
    else
        table.add("values", guess.kind == Kind::percent ? "\"percent\"" : "\"fraction\"",
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
    const RasterGuess* heights = best(guesses, [](Kind kind) { return kind == Kind::heights; });
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
    } else {
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
