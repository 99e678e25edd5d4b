// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/comparison/structures_sample_in.hpp"
#include "run/inputs/inputs.hpp"

#include <map>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Figures of a run's inputs, by the names that rules of the gate have for them.
using SeenFigures = std::map<std::string, double>;

/// What a run sees of itself, kept for the next one: of addresses, neighbourhoods, parcels, field
/// checks and heights, as far as they are configured. Parcels are looked at below 1,000 structures,
/// spread evenly.
SeenFigures figures_of(const Inputs& inputs, const InputSettings& sources);

/// A figure in the last run and now.
struct MovedFigure {
    double before = 0;
    double now = 0;
    std::size_t of = 0; ///< of a share: what was counted, now; 0 where it is not counted
};
using MovedFigures = std::map<std::string, MovedFigure>;

/// What tables of an earlier run say, here and there.
struct EarlierSample {
    std::vector<SampledStructure> structures;
    std::vector<SampledAddress> addresses;
};

/// The figures that both runs wrote down.
MovedFigures in_both(const SeenFigures& before, const SeenFigures& now, const Community& community);
/// Figures over the structures that both runs have, where both have the input.
MovedFigures by_structure(const EarlierSample& earlier, const Inputs& inputs,
                          const InputSettings& sources);

/// Metres above the datum at some structures, by id.
using SeenHeights = std::vector<std::pair<std::string, double>>;
/// At 200 structures, spread evenly: the mean of the heights that make the slope.
SeenHeights heights_of(const Community& community);
/// `height_mean_m`, and where heights differ enough to tell, `height_scale` (the slope of the line
/// of least squares of heights now over heights then) and `height_disagreement` (1 less their
/// correlation). Empty for fewer than three structures of both runs.
MovedFigures compare_heights(const SeenHeights& before, const Community& community);

} // namespace fuelring
