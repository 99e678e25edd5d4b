// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/schedule/stage_results.hpp"

#include <nlohmann/json_fwd.hpp>

#include <chrono>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Wall-clock seconds of the stages of a run, in order. Stages follow each other, none runs inside
/// another; time between end() and the next begin() belongs to none. For one thread.
class StageTimes {
public:
    /// Ends the stage before and begins the next. A name may come twice: it then has two entries.
    void begin(std::string name);
    /// Does nothing where no stage is open.
    void end();
    /// A list of `stage` and `wall_s`. A stage that is still open has 0 seconds.
    nlohmann::json json() const;
    /// Of the stages that have ended.
    double total_s() const;

private:
    using Clock = std::chrono::steady_clock;
    std::vector<std::pair<std::string, double>> stages_;
    Clock::time_point start_ = Clock::now();
    bool open_ = false;
};

/// The `timings` object; apart, since it is left out when runs are compared.
/// `finished` is the moment of the call, in UTC; `worker_seconds` add up over `jobs` workers and
/// may exceed `total_s`; `peak_memory_mib` is the most that the process has had in memory so far.
nlohmann::json timings_of(const StageTimes& stages, const WorkTimes& work, int jobs);

} // namespace fuelring
