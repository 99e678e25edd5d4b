// SPDX-License-Identifier: Apache-2.0

// Codes of one legend are codes of others, too: of the tables that have nearly all codes of a
// raster the one is taken of which most rows occur, and one of the town's own before all others.
#include "run/begin/raster_kinds.hpp"

#include "run/begin/guesses.hpp"
#include "run/begin/words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace fuelring {

namespace {

constexpr double enough_known = 0.9; ///< of sampled cells, for a table to be meant
constexpr std::size_t least_percentages = 11;
constexpr std::size_t most_codes = 400;
constexpr std::size_t most_codes_listed = 8;

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

RasterKind kind_of(const FoundRaster& raster, const std::string& name,
                   const std::vector<TableFit>& fits)
{
    const bool in_percent = raster.least >= 0 && raster.most <= 100;
    if (raster.bands >= 3 || raster.colours)
        return RasterKind::image;
    if (raster.sampled == 0)
        return RasterKind::unknown;
    if (is_like_surface(name))
        return RasterKind::surface;
    if (is_like_heights(name) || raster.has_unit)
        return RasterKind::heights;
    const bool all_known = !fits.empty() && fits.front().lacking.empty();
    if (raster.whole_numbers && in_percent && raster.values.size() >= least_percentages &&
        (is_surely_share(name) || (is_like_share(name) && !all_known)))
        return RasterKind::percent;
    const bool is_mask = raster.whole_numbers && raster.least >= 0 && raster.most <= 1;
    if (is_mask && is_surely_share(name))
        return RasterKind::fraction;
    if (raster.whole_numbers && raster.all_values && raster.values.size() <= most_codes &&
        !fits.empty())
        return RasterKind::classes;
    if (raster.least >= 0 && raster.most <= 1)
        return RasterKind::fraction;
    if (in_percent && (is_like_share(name) ||
                       (raster.whole_numbers && raster.values.size() >= least_percentages)))
        return RasterKind::percent;
    if (!raster.whole_numbers || raster.values.size() > most_codes)
        return raster.least > -500 && raster.most < 9000 ? RasterKind::heights
                                                         : RasterKind::unknown;
    return RasterKind::unknown;
}

std::string in_words(const RasterGuess& guess)
{
    const FoundRaster& r = *guess.raster;
    switch (guess.kind) {
    case RasterKind::classes: {
        const TableFit& fit = guess.fits.front();
        return fmt::format("{} codes ({}): {} {}", r.values.size(), codes_of(r),
                           fit.lacking.empty() ? "fits" : "mostly fits",
                           PathText::name(fit.table->path));
    }
    case RasterKind::percent:
        return fmt::format("values {:g} to {:g}: a share in percent", r.least, r.most);
    case RasterKind::fraction:
        return fmt::format("values {:g} to {:g}: a share as a fraction", r.least, r.most);
    case RasterKind::heights:
        return fmt::format("values {:.0f} to {:.0f}: heights", r.least, r.most);
    case RasterKind::surface:
        return "heights of trees and roofs, not of the ground: not used";
    case RasterKind::image:
        return fmt::format("{} bands: an image, which has to be classified first", r.bands);
    case RasterKind::unknown:
        return r.sampled == 0 ? "no data in any cell that was sampled: not used"
                              : fmt::format("{} values ({}) of no class table: not used",
                                            r.values.size(), codes_of(r));
    }
    return {};
}

} // namespace

std::string name_of(const FoundRaster& raster)
{
    return PathText::name(raster.paths.front());
}

std::string listed(const std::vector<std::int64_t>& codes)
{
    const std::size_t n = std::min(codes.size(), most_codes_listed);
    return fmt::format(
        "{}{}", fmt::join(codes.begin(), codes.begin() + static_cast<std::ptrdiff_t>(n), ", "),
        codes.size() > n ? ", ..." : "");
}

RasterGuess guess_of(const FoundRaster& raster, const std::vector<FoundTable>& tables)
{
    RasterGuess guess{&raster};
    const std::string name = name_of(raster);
    if (raster.sampled > 0 && raster.whole_numbers && raster.bands < 3)
        guess.fits = fits_of(raster, tables);
    guess.kind = kind_of(raster, name, guess.fits);
    if (guess.kind == RasterKind::classes)
        guess.score = 5 + guess.fits.front().score() + (is_like_fuel(name) ? 2 : 0);
    else if (guess.kind == RasterKind::percent || guess.kind == RasterKind::fraction)
        guess.score = 3 + (is_like_share(name) ? 3 : 0) + (is_like_fuel(name) ? 1 : 0);
    else if (guess.kind == RasterKind::heights)
        guess.score = 1 + (is_like_heights(name) ? 3 : 0);
    guess.what = fmt::format(
        "{}{} band{} of {:.3g} m cells, {}, {}",
        raster.paths.size() > 1 ? fmt::format("{} tiles, ", raster.paths.size()) : "", raster.bands,
        raster.bands == 1 ? "" : "s", raster.cell_m,
        raster.crs.name.empty() ? "no coordinate system" : raster.crs.name, in_words(guess));
    return guess;
}

bool is_fuel(RasterKind kind)
{
    return kind == RasterKind::classes || kind == RasterKind::percent ||
           kind == RasterKind::fraction;
}

} // namespace fuelring
