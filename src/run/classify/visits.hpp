// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "io/imagery/training_in.hpp"

namespace fuelring {

/// Of the squares of ground that visits are in, one in so many is control.
inline constexpr int control_of = 3;

/// What field checks say of cells, as training and as control, never as both. Places of one square
/// of 100 m go the same way, by a hash of the square, which does not depend on what else was
/// visited: so a control stays one in later nights. Rows count that are `conifer`, or `not_conifer`
/// with a group, and have a shape; a row of a structure, unmapped ground and what is gone say
/// nothing of how land looks from above.
/// Adds those that are training to `layer`, whose cells lose what a control claims; returns the
/// others. Throws: as read_corrections.
TrainingLayer take_visits(const CorrectionSource& source, const AnalysisGrid& analysis,
                          double cell_m, bool blocks_are_named, TrainingLayer& layer);

} // namespace fuelring
