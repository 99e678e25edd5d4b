// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/schedule/stage_results.hpp"

#include <nlohmann/json_fwd.hpp>

#include <chrono>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Wall-clock seconds of the stages of a run, in order.
class StageTimes {
public:
    /// Ends the stage before and begins the next.
    void begin(std::string name);
    void end();
    nlohmann::json json() const;
    double total_s() const;

private:
    using Clock = std::chrono::steady_clock;
    std::vector<std::pair<std::string, double>> stages_;
    Clock::time_point start_ = Clock::now();
    bool open_ = false;
};

/// The `timings` object; apart, since it is left out when runs are compared.
nlohmann::json timings_of(const StageTimes& stages, const WorkTimes& work, int jobs);

} // namespace fuelring
