// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// Records of a CSV as this program writes it: RFC 4180 with CRLF, the heading among them, a mark
/// in front of the text left out. Law: the cells, written with append_text_cell, are the text
/// again. Nothing where the text is no such CSV: a quote out of place, a line that ends otherwise,
/// a record with another number of cells than the first.
std::optional<std::vector<std::vector<std::string>>> csv_records(std::string_view text);

} // namespace fuelring
