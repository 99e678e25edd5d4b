// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <optional>
#include <string>

namespace fuelring {

/// What the command line says.
struct ReportOptions {
    std::filesystem::path run;                ///< folder of a run of fuelring map
    std::optional<std::filesystem::path> out; ///< a folder of its own; else the run's
    std::filesystem::path change;             ///< folder of a run of fuelring change; empty: none
    bool for_public = false; ///< figures of neighbourhoods only, in a folder that can be given away
    std::string sheets;      ///< whose address sheets: see rows_wished; empty for none
    std::optional<std::filesystem::path> text; ///< words of sheets and maps; else English
    bool letter = false;                       ///< sheets and brief on Letter instead of A4
    int jobs = 0;                              ///< 0: one a core
};

/// Renders a run for people, from its folder alone. Without `out` the files are published beside
/// those of the run, as a new generation of its set; what is for the public lies in the folder
/// `public` there. Returns what `--json` prints. Throws: Error of every kind; earlier outputs are
/// then untouched.
nlohmann::json run_report(const ReportOptions& options, Log& log);

} // namespace fuelring
