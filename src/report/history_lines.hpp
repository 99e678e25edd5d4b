// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/run_picture.hpp"

#include <map>
#include <string>
#include <vector>

namespace fuelring {

/// Mean exposure by the date of the imagery, from a run's history.csv.
struct HistoryLines {
    std::vector<std::string> dates; ///< of the imagery, rising, each once: YYYY, -MM and -DD
    std::vector<double> years;      ///< the same as fractions of years, to draw by
    /// By date, NaN where there is none; by name of the row, (community) among them.
    std::map<std::string, std::vector<double>> mean_exposure;
    std::size_t other_methods = 0; ///< dates left out because another method measured them

    /// Nothing can be compared with fewer than two dates.
    bool empty() const { return dates.size() < 2; }
};

/// Rows whose method is that of the last run and whose imagery has a date; of several runs on one
/// date the last one counts. Rows that no longer exist are left out: `rows` are the names of now.
HistoryLines history_lines(const PictureTable& history, const std::vector<std::string>& rows);

} // namespace fuelring
