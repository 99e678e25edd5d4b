// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "program_scene.hpp"

#include <map>
#include <string>
#include <vector>

namespace fuelring::faults {

/// The kinds of faults: at one call, or from that call on.
const std::vector<std::string>& fault_kinds();

/// One fault to try.
struct Trial {
    int at = 0; ///< which of the calls that change a file system
    std::string kind{};
    int second_kill = 0; ///< not 0: the next run is killed at this call of its own
};

/// What was found after trials of one kind of run.
struct SweepCounts {
    int calls = 0;              ///< of the undisturbed run
    int fired = 0;              ///< faults that happened
    int second_kills = 0;       ///< of them, followed by a death of the run that repairs
    int new_set_with_4 = 0;     ///< "the new set is in place, whether it is durable is not known"
    double longest_end_s = 0;   ///< from SIGTERM to the end of the program
    std::map<int, int> ended{}; ///< how many by exit code
    std::map<std::string, int> of_kind{}; ///< faults that fired, by kind
    std::vector<std::string> wrong{};     ///< one line for every promise broken
};

/// How many calls an undisturbed run makes.
int calls_of(const ProgramScene& scene);

/// Lays the scene out, lets the fault happen, looks at the folder, runs once undisturbed and looks
/// again; counts. `command`: instead of the scene's own.
void try_fault(const ProgramScene& scene, const Trial& trial, SweepCounts& counts,
               const std::vector<std::string>& command = {});

/// The trials of one kind of run, every `step`-th of them from `first`, by as many workers as
/// asked for, each with a scene of its own. With `step` 1 each call gets each kind of fault; where
/// it is larger the kinds take turns.
SweepCounts sweep_program(RunKind run, int first, int step, int workers);

/// "first run: 160 calls, 800 faults (kill 160, ...); ended 0: 12, 4: 500 ..." for people.
std::string text_of(RunKind run, const SweepCounts& counts);

} // namespace fuelring::faults
