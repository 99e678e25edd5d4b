// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/gate/gate_last_run.hpp"
#include "run/inputs/inputs.hpp"
#include "run/stages/stages.hpp"

#include <nlohmann/json.hpp>

#include <filesystem>

namespace fuelring {

/// Holds back inputs that would replace good outputs with nonsense. A run shows it what it has as
/// soon as it has it; the gate compares that with the run in the output folder. Where gate.on is
/// false it still finds and records its figures, for the runs after this one. For one thread, one
/// gate a run. Refers to config and log, which must outlive it.
class InputGate {
public:
    struct Mode {
        bool tell = false;    ///< holds nothing, and says what would stop `map`
        GateKinds accepted{}; ///< publishes what is found of these, and records it
    };
    /// Reads what the last run in `out` says of itself; throws nothing for one that does not serve.
    InputGate(const PublishedFolder& out, const Config& config, Mode mode, Log& log);

    // Each throws Error{gate} where it holds; earlier outputs are then untouched.
    // To be called in this order; what an earlier call found stays for json() and say().
    void look_at(const Inputs& inputs); ///< with slopes, before anything is measured
    void look_at(const std::vector<MeasuredStructure>& measures);     ///< before the surface
    void look_at(const SurfaceTotals& surface, const Inputs& inputs); ///< before tables
    /// Instead of the last two: squares around the structures, not their rings.
    void look_at(const CodeCensus& census, const Inputs& inputs);

    /// The run's warnings, with those that the last run had not, or had fewer of, marked.
    void say_warnings(const Warnings& warnings);

    /// `gate` of run.json: settings, what it was compared with, what moved by how much, what was
    /// accepted or came near a bound, and what the next run is compared with (`seen`).
    nlohmann::json json() const;
    void say(Log& log) const; ///< one line, for a run that passed

private:
    void judge(const GateReasons& reasons);
    [[noreturn]] void hold(const GateReasons& reasons) const;
    GateReasons compare_rasters(const Inputs& inputs);
    GateReasons compare_figures(const Inputs& inputs);
    GateReasons compare_places(const EarlierSample& sample, const Inputs& inputs);
    void note_ground(const SeenGround& before, const SeenGround& now);
    GateReasons compare_distance(const SeenGround& now, bool is_widest);
    void not_compared(const std::string& what);
    std::string input_of(GateKind kind) const;

    std::filesystem::path out_;
    const Config& config_;
    Mode mode_;
    Log& log_;
    LastRun last_;
    GateReasons reasons_; ///< accepted, or told
    GateReasons near_;    ///< beyond half a bound
    nlohmann::json moved_ = nlohmann::json::object();
    nlohmann::json seen_ = nlohmann::json::object();
    std::vector<std::string> new_warnings_; ///< keys
    std::vector<std::string> not_compared_;
    std::vector<std::string> words_; ///< of the line for people
};

} // namespace fuelring
