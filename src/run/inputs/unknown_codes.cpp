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
