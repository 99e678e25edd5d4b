// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/report_data/run_picture_in.hpp"
#include "report/print/sheet_text.hpp"

#include <filesystem>
#include <functional>
#include <string>

namespace fuelring {

/// Writes the still maps of a run: map.png of the community, a picture of every neighbourhood with
/// buildings (map_NAME.png), and map.pdf with all of them, a page each. For the public only the
/// community's, by neighbourhood. `add` says where a file of a name is to be made.
/// Throws: Error{input, output}.
void write_maps(const std::function<std::filesystem::path(const std::string&)>& add,
                const PictureSource& source, const RunPicture& picture, bool for_public,
                const report::SheetText& text);

} // namespace fuelring
