// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <pybind11/pybind11.h>

#include <cstddef>
#include <functional>
#include <stop_token>

namespace fuelring::python {

/// Runs `work` on a thread of its own while this one waits without the interpreter's lock. It looks
/// up ten times a second: for signals, of which one that raises (Ctrl-C) stops the work, and to
/// call `progress` (a callable or None) with what is done and all. So no other thread touches
/// Python. Requires: the caller holds the lock. `work` takes a stop token and a function to report
/// to. Throws: what `work` throws; pybind11::error_already_set for a signal and what `progress`
/// raises.
using Report = std::function<void(std::size_t done, std::size_t all)>;
void run_waiting(const std::function<void(std::stop_token, const Report&)>& work,
                 const pybind11::object& progress);

} // namespace fuelring::python
