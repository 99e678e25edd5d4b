// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "mutating_calls.hpp"

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring::faults {

/// What happens at the n-th mutating system call, counted over all threads and children.
struct Fault {
    int at = 0;              ///< n, from 1; 0: only count
    int signal = 0;          ///< sent to the program at the entry of the call, or
    int error_number = 0;    ///< the call is not made and returns this
    bool for_ever = false;   ///< every mutating call from the n-th on fails
    bool syncs_only = false; ///< of those, only fsync
};

/// "count", "kill", "term", "int", "eio", "enospc", "enospc-on", "einval", "erofs-on" ...;
/// "lost-syncs": from the n-th call on, fsync returns 0 and does nothing.
/// Throws: std::invalid_argument naming the kinds there are.
Fault fault_of(std::string_view kind, int at);

struct Outcome {
    int exit_code = 0;    ///< of the program; 128 + signal where one ended it
    int calls = 0;        ///< mutating calls that were met
    int fired = 0;        ///< how often the fault fired
    MutatingCall first{}; ///< where it fired first
};

/// This machine, or what contains it, does not allow tracing.
struct CannotTrace : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// Runs `command` and lets the fault happen. Throws: CannotTrace, std::system_error.
Outcome run_with_fault(const std::vector<std::string>& command, const Fault& fault);

} // namespace fuelring::faults
