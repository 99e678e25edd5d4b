// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/map_view.hpp"
#include "report/print/sheet_text.hpp"

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
    std::string neighbourhood;        ///< empty outside them
    std::optional<double> exposure;   ///< points from 0 to 100; empty where it is not measured
    std::optional<std::int64_t> rank; ///< 1 comes first
    std::optional<double> nearest_conifer_m; ///< empty: none known within the widest ring
    double roof_canopy_m2 = 0;
    double down_factor = 1;          ///< of its rings; above 1 where the ground falls away
    std::vector<RingFigures> rings;  ///< from the wall outwards; not empty
    std::vector<std::string> owners; ///< `own`, `other_private`, classes, `no_parcel`
};

/// A line between two parcels, or between a parcel and ground that is none.
struct ParcelEdge {
    Point from;
    Point to;
    bool own = false; ///< the home stands on one side of it
};

/// One distance from the wall, as it was measured: on a slope the line is further off downhill.
struct DistanceLine {
    double distance_m = 0;
    Outline outline;
};

/// What a home's plan is drawn from, in the structure's local frame: metres of the ground, x along
/// columns and y against rows of the grid.
struct HomePlan {
    MapView::Axes axes;
    Point north{0, 1}; ///< true north in the drawing (right, up)
    std::vector<Loop> home;
    std::vector<std::vector<Loop>> others;
    std::vector<DistanceLine> lines; ///< by ring; not empty
    std::vector<Loop> reach;         ///< the widest of them as loops: no ground is shown beyond
    MapCells cells;
    bool has_parcels = false; ///< the run had a layer of them
    std::vector<ParcelEdge> parcels;
};

/// All that a sheet is made of.
struct HomeSheet {
    HomeFigures figures;
    HomePlan plan;
};

/// What all sheets and maps of a run have in common.
struct RunFacts {
    std::string community;
    std::string imagery_date; ///< may be empty
    std::string program;
    std::size_t structures = 0; ///< with a rank
    double near_m = 0;          ///< rings.near_m
};

/// The date that documents of a run bear: that of the imagery where it is one of the calendar, or
/// else the first of 1970. Never the present: the same run gives the same bytes.
std::string document_date(const RunFacts& run);

} // namespace fuelring::report
