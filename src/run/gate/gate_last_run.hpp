// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "run/gate/gate_figures.hpp"
#include "run/gate/gate_rules.hpp"

#include <nlohmann/json.hpp>

#include <filesystem>
#include <map>

namespace fuelring {

/// What an output folder says of the run that lies there, as far as a gate needs it. What is empty
/// was not said, and is not compared.
struct LastRun {
    std::int64_t generation = 0; ///< 0: there is none
    std::string run_id{};
    std::string finished{};
    std::optional<SeenGrid> grid{};
    std::optional<std::int64_t> structures{};
    std::vector<SeenGround> ground{}; ///< by distance, rising
    std::vector<std::int64_t> codes{};
    SeenFigures figures{};
    SeenHeights heights{};
    std::map<std::string, std::int64_t> warnings{}; ///< how many, by key
    std::vector<std::string> unknown{};             ///< what it does not say, for people

    bool exists() const { return generation > 0; }
    /// Null where the run had no such distance. Belongs to this.
    const SeenGround* within(double distance_m) const;
    /// 0 where it does not say.
    double widest_m() const { return ground.empty() ? 0 : ground.back().within_m; }
};

/// Throws nothing for a folder or a run.json that does not serve: then there is nothing to compare
/// with, and `unknown` says why.
LastRun last_run_in(const PublishedFolder& out);

// As `gate.seen` of run.json has them.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SeenGround, within_m, ground_m2, mapped_m2, conifer_m2)
nlohmann::json grid_json(const SeenGrid& grid);

} // namespace fuelring
