// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "projects/project_account.hpp"
#include "run/appraise/project_cells.hpp"

#include <vector>

namespace fuelring {

/// What clearing each part would take off the exposure of every structure. `measures`: of the
/// structures as they are. The same bits for every number of workers. Throws: what
/// context.check_cancelled throws.
GainsByStructure clearing_gains(const StageContext& context,
                                const std::vector<MeasuredStructure>& measures,
                                const ProjectCells& cells);

/// Ground of every part in the rings around all structures, nothing counted twice, under no roof.
/// `owners`: parcels, or null. Throws: Error{input}; what context.check_cancelled throws.
std::vector<PartGround> ground_in_reach(const StageContext& context,
                                        const std::vector<PartShape>& parts,
                                        const Ownership* owners);

} // namespace fuelring
