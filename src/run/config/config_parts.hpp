// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/config/config.hpp"
#include "run/config/config_table.hpp"

namespace fuelring {

// The parts of load_config: each reads one table of the file into its place and leaves defaults
// where the table or a key is absent. Throw: Error{usage} naming file, line and key.

/// [inputs] with its layers. Throws: Faults where several of its tables are wrong.
void read_inputs_table(const ConfigTable& root, InputSettings& inputs);
/// [inputs.structures] and [inputs.corrections] alone, where they are there.
void read_inputs_of_classify(const ConfigTable& root, InputSettings& inputs);
/// [community] area; empty where it is absent: structures may stand anywhere.
std::optional<AreaSource> read_area(const ConfigTable& root);
/// [rings]: distances that rise, weights with a sum, and which distance is the near one.
void read_rings(const ConfigTable& root, RingPlan& rings, NearDistance& near);
/// Distances and weights of a table. Throws: Error{usage} naming outer_m or weight.
void require_ring_plan(const ConfigTable& table, const RingPlan& plan);
/// [terrain], which needs heights.
void read_terrain(const ConfigTable& root, bool has_elevation, StretchTable& stretch);
/// [uncertainty]; empty where the table is absent: no draws are made.
std::optional<UncertaintyPlan> read_uncertainty(const ConfigTable& root);
/// [gate]; the planning defaults where it is absent.
GateSettings read_gate(const ConfigTable& root);
/// [report].
void read_report(const ConfigTable& root, ReportSettings& settings);
/// [appraise]: thresholds above 0 that rise.
void read_appraise(const ConfigTable& root, AppraiseSettings& settings);

} // namespace fuelring
