// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fmt/format.h>
#include <sys/resource.h>

#include <chrono>
#include <string>

namespace fuelring {

/// Wall and processor time since it was made: on a busy machine only the second tells much.
class Stopwatch {
public:
    std::string lap() const
    {
        const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - start_;
        return fmt::format("{:.3f} s ({:.3f} s of processor)", wall.count(), processor() - used_);
    }

private:
    static double processor()
    {
        rusage use{};
        getrusage(RUSAGE_SELF, &use);
        const auto seconds = [](const timeval& t) {
            return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
        };
        return seconds(use.ru_utime) + seconds(use.ru_stime);
    }

    std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
    double used_ = processor();
};

} // namespace fuelring
