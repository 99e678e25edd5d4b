// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "io/report_data/run_picture_in.hpp"
#include "report/print/document.hpp"
#include "report/print/home_sheet.hpp"
#include "report/print/sheet_text.hpp"

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace fuelring {

/// Says where a file of a name is to be made, which then belongs to the set.
using AddFile = std::function<std::filesystem::path(const std::string&)>;

/// Writes the still maps of a run: map.png of the community, a picture of every neighbourhood with
/// buildings (map_NAME.png), and map.pdf with all of them, a page each. For the public only the
/// community's, by neighbourhood. `add` says where a file of a name is to be made.
/// Throws: Error{input, output}.
void write_maps(const AddFile& add, const RunFolder& run, const RunPicture& picture,
                bool for_public, const report::SheetText& text);

/// What the sheets and maps of a run have in common.
report::RunFacts facts_of(const RunPicture& picture);

/// Rows of the picture's address table whose sheets are wanted, in its order. A wish is the word
/// `all`, or names an address, a structure or a neighbourhood exactly, or else an address but for
/// capitals. Throws: Error{usage} with the nearest names where it names nothing.
std::vector<std::size_t> rows_wished(const RunPicture& picture, const std::string& wish);

/// The sheets of those rows as one PDF. Throws: Error{usage} where the words of the template leave
/// no room on the page; what `sink` throws; Error{input, output}.
void write_address_sheets(const report::Sink& sink, const RunFolder& run, const RunPicture& picture,
                          const std::vector<std::size_t>& rows, bool letter,
                          const report::SheetText& text);

/// addresses.xlsx and neighbourhoods.xlsx of a run: its tables for spreadsheets. `add` gives the
/// place of a file that then belongs to the set. A table that a sheet cannot hold is left out, and
/// said.
void write_spreadsheets(const AddFile& add, const RunPicture& picture, Log& log);

} // namespace fuelring
