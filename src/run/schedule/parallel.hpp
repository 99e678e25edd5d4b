// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <tbb/enumerable_thread_specific.h>
#include <tbb/global_control.h>
#include <tbb/parallel_for.h>
#include <tbb/task_arena.h>

#include <chrono>
#include <cstddef>
#include <functional>
#include <vector>

namespace fuelring {

/// Adds the time from its birth to `stop` (or its end) to a number of seconds, which must outlive
/// it. Only the first `stop` counts. For one thread, whose number nobody else may add to.
class Stopwatch {
public:
    explicit Stopwatch(double& seconds) : seconds_(&seconds), start_(Clock::now()) {}
    Stopwatch(const Stopwatch&) = delete;
    Stopwatch& operator=(const Stopwatch&) = delete;
    ~Stopwatch() { stop(); }
    void stop() const
    {
        if (seconds_)
            *seconds_ += std::chrono::duration<double>(Clock::now() - start_).count();
        seconds_ = nullptr;
    }

private:
    using Clock = std::chrono::steady_clock;
    mutable double* seconds_;
    Clock::time_point start_;
};

/// Calls task(worker, k) for k in [0, count), at most `jobs` at a time, each worker made by `make`
/// on its own thread; then `collect` for every worker. The first exception of a task comes out;
/// tasks that have not begun are then left out, and nothing is collected.
/// Tasks write to places of their own, so nothing depends on their order. `collect` runs on the
/// caller's thread, over those workers that had a task, in no certain order: what it adds up must
/// not depend on that where the bits count. `make` may run on several threads at once.
/// Requires: jobs >= 1.
template <typename Worker, typename Make, typename Task, typename Collect>
void for_each_in_parallel(int jobs, std::size_t count, Make make, Task task, Collect collect)
{
    const tbb::global_control limit{tbb::global_control::max_allowed_parallelism,
                                    static_cast<std::size_t>(jobs)};
    tbb::task_arena arena{jobs};
    tbb::enumerable_thread_specific<Worker> workers{make};
    arena.execute([&] {
        tbb::parallel_for(
            tbb::blocked_range<std::size_t>{0, count, 1},
            [&](const tbb::blocked_range<std::size_t>& range) {
                for (std::size_t k = range.begin(); k != range.end(); ++k)
                    task(workers.local(), k);
            },
            tbb::simple_partitioner{});
    });
    for (const Worker& worker : workers)
        collect(worker);
}

/// The same for tasks that keep nothing from one to the next: task(k).
template <typename Task>
void for_each_in_parallel(int jobs, std::size_t count, Task task)
{
    struct Nothing {};
    for_each_in_parallel<Nothing>(
        jobs, count, [] { return Nothing{}; }, [&](Nothing&, std::size_t k) { task(k); },
        [](const Nothing&) {});
}

/// Runs a few different things side by side, at most `jobs` at a time. None may wait for
/// another. The first exception comes out.
inline void run_in_parallel(int jobs, const std::vector<std::function<void()>>& things)
{
    for_each_in_parallel(jobs, things.size(), [&](std::size_t k) { things[k](); });
}

} // namespace fuelring
