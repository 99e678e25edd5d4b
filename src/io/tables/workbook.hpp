// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/spreadsheet_out.hpp"

namespace fuelring {

/// Makes the file by libxlsxwriter, whose temporary files go into the folder of `path`. What went
/// wrong, as far as the library says so; else empty.
/// Law: an empty answer does not prove the file: the caller reads it again. Throws: std::bad_alloc
/// where the library gets no memory.
std::string make_workbook(const std::filesystem::path& path, const std::string& sheet,
                          const PictureTable& table, const std::vector<AboutLine>& about);

} // namespace fuelring
