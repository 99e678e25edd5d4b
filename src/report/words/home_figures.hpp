// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace fuelring::report {

/// What one home's sheet says of one ring. Areas and shares as in addresses.csv, with its rounding.
struct RingFigures {
    double from_m = 0;
    double to_m = 0;
    double conifer_m2 = 0;
    std::optional<double> conifer_frac; ///< empty where the ring counts as unmapped
    std::optional<double> other_burnable_frac;
    double unmapped_frac = 0;
    std::vector<double> conifer_m2_of_owner; ///< by HomeFigures::owners; empty without parcels
};

/// The figures of one home.
struct HomeFigures {
    std::string address; ///< empty where the structure has none
    std::string structure_id;
    std::string neighbourhood;      ///< empty outside them
    std::optional<double> exposure; ///< points from 0 to 100; empty where it is not measured
    std::optional<double> exposure_cleared;  ///< without the conifers within the near distance
    std::optional<std::int64_t> rank;        ///< 1 comes first
    std::optional<double> nearest_conifer_m; ///< empty: none known within the widest ring
    double roof_canopy_m2 = 0;
    double down_factor = 1;          ///< of its rings; above 1 where the ground falls away
    std::vector<RingFigures> rings;  ///< from the wall outwards; not empty
    std::vector<std::string> owners; ///< `own`, `other_private`, classes, `no_parcel`
};

/// What all sheets and maps of a run have in common.
struct RunFacts {
    std::string community;
    std::string imagery_date; ///< may be empty
    std::string program;
    std::size_t structures = 0;   ///< with a rank
    double near_m = 0;            ///< rings.near_m
    std::string contact{};        ///< of whoever answers questions; may be empty
    std::string visit{};          ///< what the town offers; may be empty
    std::string logo_png{};       ///< bytes; may be empty
    std::string picture_credit{}; ///< whose picture lies below the plans; may be empty
    std::string lines_credit{};   ///< whose streets and the like; may be empty
};

} // namespace fuelring::report
