// SPDX-License-Identifier: Apache-2.0
#include "python/waiting.hpp"

#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <optional>
#include <thread>

namespace fuelring::python {

namespace py = pybind11;

namespace {

/// What both threads see.
struct Shared {
    std::mutex mutex;
    std::condition_variable changed;
    std::size_t done = 0;
    std::size_t all = 0;
    bool ended = false;
    std::exception_ptr failed;
};

void call(const py::object& progress, std::size_t done, std::size_t all)
{
    if (!progress.is_none() && all > 0)
        progress(done, all);
}

} // namespace

void run_waiting(const std::function<void(std::stop_token, const Report&)>& work,
                 const py::object& progress)
{
    constexpr std::chrono::milliseconds step{100};
    Shared shared;
    std::jthread worker{[&](const std::stop_token& stop) {
        std::exception_ptr failed;
        try {
            work(stop, [&](std::size_t done, std::size_t all) {
                const std::lock_guard lock{shared.mutex};
                shared.done = done;
                shared.all = all;
            });
        } catch (...) {
            failed = std::current_exception();
        }
        const std::lock_guard lock{shared.mutex};
        shared.failed = failed;
        shared.ended = true;
        shared.changed.notify_one();
    }};
    std::optional<py::error_already_set> raised;
    for (bool ended = false; !ended;) {
        std::size_t done = 0;
        std::size_t all = 0;
        {
            const py::gil_scoped_release without_lock;
            std::unique_lock lock{shared.mutex};
            shared.changed.wait_for(lock, step, [&] { return shared.ended; });
            ended = shared.ended;
            done = shared.done;
            all = shared.all;
        }
        if (raised)
            continue;
        try {
            if (PyErr_CheckSignals() != 0)
                throw py::error_already_set{};
            call(progress, done, all);
        } catch (const py::error_already_set& e) {
            raised = e;
            worker.request_stop();
        }
    }
    if (raised)
        throw py::error_already_set{*raised};
    if (shared.failed)
        std::rethrow_exception(shared.failed);
}

} // namespace fuelring::python
