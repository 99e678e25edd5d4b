// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "base/program/progress.hpp"
#include "io/report_data/run_picture_in.hpp"
#include "report/context.hpp"
#include "report/print/document.hpp"
#include "report/print/home_sheet.hpp"
#include "report/words/sheet_text.hpp"

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Pixels of the town's own picture under a map: about 1 MB as a JPEG.
inline constexpr std::int64_t most_backdrop_pixels = 2'500'000;

/// Says where a file of a name is to be made, which then belongs to the set.
using AddFile = std::function<std::filesystem::path(const std::string&)>;

/// Writes the still maps of a run: map.png of the community, a picture of every neighbourhood with
/// buildings (map_NAME.png), and map.pdf with all of them, a page each. For the public only the
/// community's, by neighbourhood. And brief.pdf, the page for those who decide, on `paper` laid
/// across. `context` is drawn below. `add` says where a file of a name is to be made; `progress`
/// counts maps and brief. Throws: Error{input, output}.
void write_maps(const AddFile& add, const RunFolder& run, const RunPicture& picture,
                const Context& context, bool for_public, report::Paper paper,
                const report::SheetText& text, Progress& progress);
/// Ground that any of them or a sheet may show, in the picture's coordinates.
Box ground_of_maps(const RunFolder& run, const RunPicture& picture);
/// How many maps that are, with the brief.
std::int64_t maps_of(const RunPicture& picture, bool for_public);

/// What the sheets and maps of a run have in common.
report::RunFacts facts_of(const RunPicture& picture);

/// Exposure of a structure (row of `structures`) with every conifer within rings.near_m cleared:
/// what `map` measures on such a raster. Empty where no weighted ring is mapped.
/// Throws: Error{input} where the tables lack columns of the rings.
std::optional<double> exposure_if_cleared(const RunPicture& picture, std::size_t row);

/// The town's mark, which run.json names; empty where it names none. Throws: Error{input} where it
/// cannot be read, or is no PNG.
std::string read_logo(const RunPicture& picture);

/// Rows of the picture's address table whose sheets are wanted, in its order. A wish is the word
/// `all`, or names an address, a structure or a neighbourhood exactly, or else an address but for
/// capitals. Throws: Error{usage} with the nearest names where it names nothing.
std::vector<std::size_t> rows_wished(const RunPicture& picture, const std::string& wish);

/// What those sheets say of the gain, unrounded: a list of address, structure_id, exposure and
/// exposure_cleared (null where unknown).
nlohmann::json sheets_json(const RunPicture& picture, const std::vector<std::size_t>& rows);

/// The sheets of those rows as one PDF; `progress` counts them. Throws: Error{usage} where the
/// words of the template leave no room on the page; what `sink` throws; Error{input, output}.
void write_address_sheets(const report::Sink& sink, const RunFolder& run, const RunPicture& picture,
                          const Context& context, const std::vector<std::size_t>& rows, bool letter,
                          const report::SheetText& text, Progress& progress);

/// addresses.xlsx and neighbourhoods.xlsx of a run: its tables for spreadsheets. `add` gives the
/// place of a file that then belongs to the set. A table that a sheet cannot hold is left out, and
/// said.
void write_spreadsheets(const AddFile& add, const RunPicture& picture, Log& log);

} // namespace fuelring
