// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/neighbourhoods.hpp"
#include "io/run_folder/previous_run.hpp"
#include "io/tables/column.hpp"
#include "run/config/config.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <string>
#include <vector>

namespace fuelring {

/// history.csv: a row for each neighbourhood and run, oldest run first. The last runs' rows come
/// from the set in the output folder, those of this run follow, what is more than
/// output.history_runs is left out at the front.
struct HistoryWritten {
    std::vector<std::string> files; ///< that were made
    /// Why an earlier history.csv was not taken on; it is then to be kept under another name.
    /// Empty where it was, or where there is none.
    std::string set_aside{};
};

/// `manifest`: of this run, with its timings. A history.csv that is damaged or not as this program
/// writes it is left where it is. Throws: Error{output}.
HistoryWritten write_history(const std::filesystem::path& folder, const PreviousRun& earlier,
                             const nlohmann::json& manifest,
                             const std::vector<NeighbourhoodRow>& neighbourhoods,
                             std::size_t near_ring, const OutputSettings& output);

/// Columns of history.csv, for the manual.
FileColumns history_table();

} // namespace fuelring
