// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/report_data/run_picture_in.hpp"
#include "report/print/document.hpp"
#include "report/print/home_sheet.hpp"

#include <string>
#include <vector>

namespace fuelring {

/// Whose sheets are wanted.
struct SheetWish {
    std::string homes;   ///< an address, a structure_id, a neighbourhood, or `all`
    bool letter = false; ///< North American Letter instead of A4
};

/// What the sheets and maps of a run have in common.
report::RunFacts facts_of(const RunPicture& picture);

/// Rows of the picture's address table whose sheets are wanted, in its order. A wish is the word
/// `all`, or names an address, a structure or a neighbourhood exactly, or else an address but for
/// capitals. Throws: Error{usage} with the nearest names where it names nothing.
std::vector<std::size_t> rows_wished(const RunPicture& picture, const std::string& wish);

/// The figures of one row of the address table, rounded as in addresses.csv.
report::HomeFigures home_figures(const RunPicture& picture, std::size_t address_row);

/// The sheets of those rows as one PDF. Throws: Error{usage} where the words of the template leave
/// no room on the page; what `sink` throws; Error{input, output}.
void write_address_sheets(const report::Sink& sink, const PictureSource& source,
                          const RunPicture& picture, const std::vector<std::size_t>& rows,
                          bool letter, const report::SheetText& text);

} // namespace fuelring
