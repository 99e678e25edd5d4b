// SPDX-License-Identifier: Apache-2.0

// Codes that the class table lacks. A few of them are a table that forgot a class: the
// configuration may take them as unmapped. Where most of the ground would go, or most of the codes
// of a raster that looks like something else, the file is the wrong one or the table is, and no
// setting makes figures of it: what is meant to be unmapped can always be listed in the table.
#include "io/raster/fuel_look.hpp"
#include "run/inputs/inputs.hpp"
#include "run/schedule/tiles.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace fuelring {

namespace {

constexpr int census_tile_cells = 128;
constexpr std::size_t most_listed_codes = 5;

/// The codes around the structures that the table lacks, the commonest first.
class UnknownCodes {
public:
    UnknownCodes(const CodeCensus& census, const FuelClassTable& classes)
        : codes_{census.cells_of_code.size()}
    {
        for (const auto& [code, cells] : census.cells_of_code) {
            all_cells_ += cells;
            if (classes.find(code))
                continue;
            unknown_.push_back({code, cells});
            cells_ += cells;
        }
        std::stable_sort(unknown_.begin(), unknown_.end(),
                         [](const Code& a, const Code& b) { return a.cells > b.cells; });
    }

    std::size_t count() const { return unknown_.size(); }
    double percent() const { return percent_of(cells_); } ///< of the cells that hold a code
    bool are_most_ground() const { return 2 * cells_ > all_cells_; }
    bool are_most_codes() const { return 2 * unknown_.size() > codes_; }

    /// "77 (1204 cells, 1.3 %)" for the commonest.
    std::vector<std::string> commonest() const
    {
        std::vector<std::string> list;
        for (std::size_t k = 0; k < std::min(unknown_.size(), most_listed_codes); ++k)
            list.push_back(fmt::format("{} ({} cells, {:.1f}%)", unknown_[k].code,
                                       unknown_[k].cells, percent_of(unknown_[k].cells)));
        return list;
    }

    std::string in_words() const
    {
        const std::size_t more = unknown_.size() - std::min(unknown_.size(), most_listed_codes);
        return fmt::format("{}{}; together {:.1f}% of the land", fmt::join(commonest(), ", "),
                           more > 0 ? fmt::format(" and {} more", more) : "", percent());
    }

private:
    struct Code {
        std::int64_t code, cells;
    };

    double percent_of(std::int64_t cells) const
    {
        return all_cells_ > 0 ? 100 * static_cast<double>(cells) / static_cast<double>(all_cells_)
                              : 0;
    }

    std::size_t codes_;
    std::vector<Code> unknown_;
    std::int64_t cells_ = 0;
    std::int64_t all_cells_ = 0;
};

/// What to do about codes that cannot count as unmapped.
std::string remedy_of(const UnknownCodes& unknown, const FuelLook& look, const FuelSource& fuel)
{
    if (!look.remedy.empty())
        return look.remedy;
    if (fuel.unknown_codes_are_unmapped)
        return fmt::format("that is too much for inputs.fuel.unknown_codes = \"unmapped\": list in "
                           "{} what is meant to be unmapped, as classes of that group",
                           fuel.classes);
    if (unknown.are_most_ground() || unknown.are_most_codes())
        return fmt::format("check that inputs.fuel.path, its band and {} belong together, or add "
                           "the codes there",
                           fuel.classes);
    return fmt::format("add them to {} or set inputs.fuel.unknown_codes = \"unmapped\"",
                       fuel.classes);
}

Warning warning_of(const UnknownCodes& unknown)
{
    const char* caution = unknown.are_most_codes()
                              ? ", and most of all codes: check that raster, band and class table "
                                "belong together"
                              : "";
    return {"unknown_codes",
            fmt::format("{} as unmapped, {:.1f}% of the land around the structures{}",
                        unknown.count() == 1
                            ? std::string{"1 code is not in the fuel-class table and counts"}
                            : fmt::format("{} codes are not in the fuel-class table and count",
                                          unknown.count()),
                        unknown.percent(), caution),
            static_cast<std::int64_t>(unknown.count()), unknown.commonest()};
}

std::int64_t cells_with_share(const CodeCensus& census)
{
    std::int64_t cells = 0;
    for (const auto& [share, count] : census.cells_of_code)
        cells += count;
    return cells;
}

/// "255 (1204 cells), -1 (3 cells)": the commonest values that are no shares.
std::vector<std::string> commonest_of(const NoShares& odd)
{
    std::vector<std::pair<double, std::int64_t>> values{odd.cells_of_value.begin(),
                                                        odd.cells_of_value.end()};
    std::stable_sort(values.begin(), values.end(),
                     [](const auto& a, const auto& b) { return a.second > b.second; });
    values.resize(std::min(values.size(), most_listed_codes));
    std::vector<std::string> list;
    for (const auto& [value, cells] : values)
        list.push_back(fmt::format("{:g} ({} cells)", value, cells));
    return list;
}

/// Values that are no shares: most of the land, or in the range of the other unit, are the wrong
/// file, band or unit; a few may be cells without data that the file does not declare.
void judge_odd_shares(Inputs& inputs, const NoShares& odd, std::int64_t good,
                      const FuelSource& fuel)
{
    const bool fraction = fuel.values == FuelValues::fraction;
    const std::string range = fraction ? "0 to 1" : "0 to 100";
    const double percent =
        100.0 * static_cast<double>(odd.cells) / static_cast<double>(odd.cells + good);
    const std::string what =
        fmt::format("{} cells around the structures ({:.1f}%) are outside {}: {}{}", odd.cells,
                    percent, range, fmt::join(commonest_of(odd), ", "),
                    odd.cells_of_value.size() > most_listed_codes
                        ? fmt::format(" and others, from {:g} to {:g}", odd.least, odd.most)
                        : "");
    if (fraction && odd.least >= 0 && odd.most <= 100)
        throw Error{Failure::input, what + "; it looks like percentages", fuel.path,
                    "set inputs.fuel.values = \"percent\""};
    if (odd.cells > good)
        throw Error{Failure::input, what, fuel.path,
                    "check inputs.fuel.path, its band and inputs.fuel.values: the cells must hold "
                    "a share of conifers"};
    if (!fuel.unknown_codes_are_unmapped)
        throw Error{Failure::input, what, fuel.path,
                    "if these cells have no data, set inputs.fuel.unknown_codes = \"unmapped\", or "
                    "declare the value as nodata with gdal_edit"};
    inputs.warnings.push_back(
        {"unknown_codes", what + "; they count as unmapped", odd.cells, commonest_of(odd)});
}

void judge_shares(Inputs& inputs, const CodeCensus& census, const FuelSource& fuel)
{
    const std::int64_t good = cells_with_share(census);
    if (census.no_shares.cells > 0)
        judge_odd_shares(inputs, census.no_shares, good, fuel);
    constexpr std::int64_t one_percent = 100;
    if (const auto& shares = census.cells_of_code; fuel.values == FuelValues::percent &&
                                                   !shares.empty() && shares.rbegin()->first > 0 &&
                                                   shares.rbegin()->first <= one_percent)
        throw Error{Failure::input,
                    fmt::format("no cell around the structures is above 1: it looks like fractions "
                                "or a mask of 0 and 1, not percentages (the largest is {:g})",
                                static_cast<double>(shares.rbegin()->first) / one_percent),
                    fuel.path, "set inputs.fuel.values = \"fraction\""};
}

} // namespace

CodeCensus census_around(const Inputs& inputs, const RingPlan& plan)
{
    const FuelRaster& raster = *inputs.raster;
    const TileIndex index =
        TileIndex::of_reach(inputs.community, raster.grid(), census_tile_cells, plan.widest_m());
    FuelRaster::Reader reader{raster};
    CodeCensus census;
    for (const TileIndex::Tile& tile : index.tiles())
        reader.count(cells_of_tile(tile.row, tile.col, census_tile_cells, raster.grid()), census);
    return census;
}

void judge_unknown_codes(Inputs& inputs, const CodeCensus& census, const FuelSource& fuel)
{
    if (fuel.holds_shares()) {
        judge_shares(inputs, census, fuel);
        return;
    }
    const UnknownCodes unknown{census, inputs.classes};
    if (unknown.count() == 0)
        return;
    const FuelLook look = unknown.are_most_codes() ? look_of(*inputs.raster, census) : FuelLook{};
    if (fuel.unknown_codes_are_unmapped && !unknown.are_most_ground() && look.words.empty()) {
        inputs.warnings.push_back(warning_of(unknown));
        return;
    }
    throw Error{Failure::input,
                fmt::format("the fuel-class table has no row for {} {} around the structures: {}{}",
                            unknown.count(), unknown.count() == 1 ? "code" : "codes",
                            unknown.in_words(), look.words.empty() ? "" : "; " + look.words),
                fuel.path, remedy_of(unknown, look, fuel)};
}

} // namespace fuelring
