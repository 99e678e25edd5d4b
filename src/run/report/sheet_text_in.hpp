// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/words/sheet_text.hpp"

#include <filesystem>

namespace fuelring {

/// Reads a template of the words of sheets and maps (config/texts). Throws: Error{usage} naming
/// file, line and key: not TOML, not UTF-8, a key that is missing, unknown, empty or of another
/// type, a name in braces that is not known there, an occasion, place or source that is none.
report::SheetText load_sheet_text(const std::filesystem::path& file);

/// The English one that the program carries.
report::SheetText english_sheet_text();

} // namespace fuelring
