// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/gate_rules.hpp"
#include "run/inputs.hpp"
#include "run/stages.hpp"

#include <nlohmann/json.hpp>

#include <filesystem>
#include <functional>

namespace fuelring {

/// What an output folder says of the run that lies there, as far as a gate needs it.
struct LastRun {
    std::int64_t generation = 0; ///< 0: there is none
    std::string run_id{};
    std::string finished{};
    std::optional<SeenGrid> grid{};
    std::optional<std::int64_t> structures{};
    std::vector<SeenGround> ground{}; ///< by distance, rising
    std::vector<std::int64_t> codes{};
    std::vector<std::string> unknown{}; ///< what it does not say, for people

    bool exists() const { return generation > 0; }
    const SeenGround* within(double distance_m) const;
    double widest_m() const { return ground.empty() ? 0 : ground.back().within_m; }
};

/// Throws nothing for a folder or a run.json that does not serve: then there is nothing to compare
/// with, and `unknown` says why.
LastRun read_last_run(const std::filesystem::path& out);

/// Holds back inputs that would replace good outputs with nonsense. A run shows it what it has as
/// soon as it has it; the gate compares that with the run in the output folder. Where gate.on is
/// false it still finds and records its figures, for the runs after this one.
class InputGate {
public:
    enum class On {
        hold,   ///< stops the run: Error{gate}
        accept, ///< warns, and records what was accepted
        tell,   ///< warns of what would stop `map`
    };
    InputGate(const std::filesystem::path& out, const Config& config, On on, Log& log);

    // Each throws Error{gate} where it holds; earlier outputs are then untouched.
    void look_at(const Inputs& inputs);                          ///< before anything is measured
    void look_at(const std::vector<StructureMeasure>& measures); ///< before the surface
    void look_at(const SurfaceTotals& surface, const Inputs& inputs); ///< before tables
    /// Instead of the last two: squares around the structures, not their rings.
    void look_at(const CodeCensus& census, const Inputs& inputs);

    /// `gate` of run.json: settings, what it was compared with, what moved by how much, what was
    /// accepted, and what the next run is compared with (`seen`).
    nlohmann::json json() const;
    void say(Log& log) const; ///< one line, for a run that passed

private:
    void judge(const GateReasons& reasons);
    void compare_sample(const Inputs& inputs);
    void note_ground(const SeenGround& before, const SeenGround& now);
    GateReasons compare_distance(const SeenGround& now, bool is_widest);
    void not_compared(const std::string& what);

    std::filesystem::path out_;
    const Config& config_;
    On on_;
    Log& log_;
    LastRun last_;
    GateReasons reasons_; ///< accepted, or told
    nlohmann::json moved_ = nlohmann::json::object();
    nlohmann::json seen_ = nlohmann::json::object();
    std::vector<std::string> not_compared_;
    std::vector<std::string> words_; ///< of the line for people
};

} // namespace fuelring
