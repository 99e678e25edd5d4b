// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/comparison/reference_layer.hpp"
#include "run/compare/sample_points.hpp"
#include "run/compare/spot_places.hpp"

#include <array>
#include <vector>

namespace fuelring {

/// The common distance that points are drawn within: its place in rings.plan.outer_m.
/// Throws: Error{usage} where the wish names none of them.
std::size_t drawn_distance(const DrawWish& wish, const CommonRings& rings);

/// What the points are drawn from: ground of whole cells of change.tif by class, between the walls
/// and a distance.
const ChangeArea& drawn_ground(const std::vector<ChangeRow>& rows, std::size_t distance);

/// Draws points within the classes of change.tif: the cells with the least numbers whose spot lies
/// within the distance and under no roof (change/reference_sample.hpp). Each spot of a class has
/// the same chance, and no cell gets two points.
/// Law: the same points for every number of workers.
/// Throws: Error{input} where there is nothing to draw from, or too few points are wanted.
std::vector<DrawnPoint> draw_points(const ChangeContext& context, const DrawWish& wish,
                                    std::size_t distance, const ChangeArea& ground);

} // namespace fuelring
