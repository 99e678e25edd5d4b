// SPDX-License-Identifier: Apache-2.0

// Two clocks: the steady one for durations, which must not jump, and the one of the calendar for
// the moment that people read.
#include "run/manifest/stage_times.hpp"

#include <fmt/chrono.h>
#include <nlohmann/json.hpp>
#include <sys/resource.h>

namespace fuelring {

namespace {

/// The kernel counts in KiB.
double peak_memory_mib()
{
    rusage usage = {};
    getrusage(RUSAGE_SELF, &usage);
    return static_cast<double>(usage.ru_maxrss) / 1024;
}

} // namespace

void StageTimes::begin(std::string name)
{
    end();
    stages_.emplace_back(std::move(name), 0);
    start_ = Clock::now();
    open_ = true;
}

void StageTimes::end()
{
    if (open_)
        stages_.back().second = std::chrono::duration<double>(Clock::now() - start_).count();
    open_ = false;
}

nlohmann::json StageTimes::json() const
{
    nlohmann::json list = nlohmann::json::array();
    for (const auto& [name, seconds] : stages_)
        list.push_back({{"stage", name}, {"wall_s", seconds}});
    return list;
}

double StageTimes::total_s() const
{
    double sum = 0;
    for (const auto& stage : stages_)
        sum += stage.second;
    return sum;
}

nlohmann::json timings_of(const StageTimes& stages, const WorkTimes& work, int jobs)
{
    nlohmann::json worker_seconds;
    for (std::size_t k = 0; k < work_names.size(); ++k)
        worker_seconds[work_names[k]] = work.seconds[k];
    return {{"finished", fmt::format("{:%FT%TZ}", fmt::gmtime(std::chrono::system_clock::to_time_t(
                                                      std::chrono::system_clock::now())))},
            {"jobs", jobs},
            {"total_s", stages.total_s()},
            {"stages", stages.json()},
            {"worker_seconds", worker_seconds},
            {"peak_memory_mib", peak_memory_mib()}};
}

} // namespace fuelring
