// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "sweep.hpp"

#include <array>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace fuelring::faults {

/// The runs of the program that faults are put into.
enum class RunKind {
    first,           ///< nothing lies there
    rerun,           ///< replaces a set, reuses nothing: --full --fail-on-change
    reusing,         ///< one block of the raster changed, the state is there
    nothing_changed, ///< over the very run
    also,            ///< like reusing, with the plan and the report in both sets
    treat,           ///< adds a plan to a set
    report           ///< adds a report to a set
};
inline constexpr std::array all_runs{RunKind::first,           RunKind::rerun, RunKind::reusing,
                                     RunKind::nothing_changed, RunKind::also,  RunKind::treat,
                                     RunKind::report};
const char* name_of(RunKind run);

/// What lies in the output folder.
struct Found {
    enum class What { absent, old_set, new_set, broken };
    What what = What::broken;
    std::string flaw{}; ///< where it is broken
    int generation = 0;
};
const char* name_of(Found::What what);

/// A small community in a folder, as it stands before a run of each kind, and what that run makes
/// of it. Each object has a folder of its own, so that several may work side by side.
class ProgramScene {
public:
    /// Makes it again by undisturbed runs. `out`: where the output folder is to lie; empty: beside
    /// the inputs. Throws: std::runtime_error where a run fails.
    explicit ProgramScene(RunKind run, const std::filesystem::path& out = {});

    /// Puts everything back as it was before the run.
    void lay_out() const;

    RunKind run() const { return run_; }
    const std::filesystem::path& out() const { return out_; }
    std::vector<std::string> command() const;
    /// What the operator runs after it, which makes the same set.
    std::vector<std::string> next_command() const;
    /// Exit code of the run where no fault comes.
    int done() const { return run_ == RunKind::rerun ? 1 : 0; }

    /// Old and new sets are told by every byte of every file that run.json lists, the time of the
    /// run taken out; nothing else may lie there but what a user put there, which must.
    Found found() const;
    /// The same after one more run: whether what the runs in between left shows in history.csv
    /// and changes.csv does not matter.
    Found found_later() const;
    /// Names beside the output folder that a finished run should not leave.
    std::vector<std::string> strays() const;

private:
    using Files = std::map<std::string, std::string>; ///< name -> digest
    Found judged(bool later) const;
    std::vector<std::string> map_command() const;
    bool adds_to_a_set() const { return run_ == RunKind::treat || run_ == RunKind::report; }
    void make_inputs() const;
    void change_a_block() const;
    void keep() const;
    std::filesystem::path state() const;

    RunKind run_;
    Scratch scratch_;
    std::filesystem::path work_, kept_, out_;
    Files old_, new_;
};

} // namespace fuelring::faults
