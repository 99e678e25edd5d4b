// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/map_view.hpp"
#include "report/words/home_figures.hpp"
#include "report/words/sheet_text.hpp"

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace fuelring::report {

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

/// What lies below a plan: the town's own picture and lines, asked for by what is shown.
struct GroundBelow {
    Point origin;         ///< of the plan's frame, in the coordinates of pictures and lines
    MapView::Axes metres; ///< a metre along the frame's axes, in these coordinates
    MapView::Axes units;  ///< a unit of these coordinates, east and north, in the frame
    std::function<std::optional<Backdrop>(const Box&)> picture; ///< empty: there is none
    std::function<Context(const Box&)> context;                 ///< empty: there is none
    std::vector<ContextKind> kinds;                             ///< that the legend explains
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
    GroundBelow below;
    bool has_parcels = false; ///< the run had a layer of them
    std::vector<ParcelEdge> parcels;
};

/// All that a sheet is made of.
struct HomeSheet {
    HomeFigures figures;
    HomePlan plan;
};

/// The date that documents of a run bear: that of the imagery where it is one of the calendar, or
/// else the first of 1970. Never the present: the same run gives the same bytes.
std::string document_date(const RunFacts& run);

} // namespace fuelring::report
