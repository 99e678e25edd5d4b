// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/exposure_classes.hpp"
#include "report/run_picture.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// One row of the neighbourhood table as people see it.
struct NeighbourhoodFigures {
    enum class Kind { neighbourhood, outside, merged, community } kind = Kind::neighbourhood;
    std::string name;
    std::vector<std::size_t> members; ///< rows of the picture's neighbourhood table, one or several
    std::optional<std::int64_t> rank;
    std::int64_t structures = 0;
    std::int64_t measured = 0;   ///< structures with an exposure, which means are of
    std::int64_t known_near = 0; ///< measured ones known to have conifers within it, or none
    std::int64_t near = 0;       ///< structures with conifers within the near distance
    std::optional<double> mean_exposure;
    std::optional<double> p90_exposure;                   ///< never on a public page
    std::vector<std::optional<double>> conifer_ha_within; ///< by distance
    /// Structures by class of exposure; never on a public page.
    std::optional<std::array<std::int64_t, exposure_classes.size()>> by_class;
};

/// The rows of neighbourhoods.csv, in its order.
std::vector<NeighbourhoodFigures> neighbourhood_figures(const RunPicture& picture);

/// The same for the public: neighbourhoods of fewer than `fewest` structures, or with figures
/// of fewer (`measured`, `known_near`; where these are 0 there are none), and what lies outside
/// all, are merged into one row, with the smallest others where that row would still be too small;
/// no percentiles and no counts by class, which can single out a home. Ranks are those among the
/// rows shown. Law: every mean and near count is of at least `fewest` structures; the counts of the
/// rows add up to the community's, so that nothing less than the merged row is left over when the
/// others are taken off it. Throws: Error{input} where the whole community has fewer.
std::vector<NeighbourhoodFigures> public_figures(const RunPicture& picture,
                                                 std::int64_t fewest = 5);

} // namespace fuelring
