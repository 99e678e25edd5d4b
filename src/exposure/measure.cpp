// SPDX-License-Identifier: Apache-2.0
#include "exposure/areas.hpp"
#include "exposure/measure_parts.hpp"
#include "geometry/offset/outline_of_valid.hpp"
#include "geometry/require.hpp"

#include <fuelring/cells_needed.hpp>
#include <fuelring/measure.hpp>

#include <algorithm>

// Rings are differences of nested regions, each integrated by itself: what two neighbouring rings
// share cancels in their sum, so that rings add up to the widest outline, to rounding.
namespace fuelring {

namespace {

/// Less conifer than rounding leaves is none, so that "no conifer" can be asked for as 0.
RingArea in_m2(const coverage::Integral& cells, double area_m2, double cell_m2)
{
    const double conifer_m2 = cells.conifer * cell_m2;
    return {area_m2, cells.mapped * cell_m2, conifer_m2 < rounding_m2 ? 0 : conifer_m2,
            cells.other_burnable * cell_m2, cells.unmapped * cell_m2};
}

/// The ring between two nested regions. Rounding must not leave a negative area, nor more conifer
/// or vegetation than there is mapped ground.
RingArea between(const RingArea& outer, const RingArea& inner)
{
    const double mapped = std::max(outer.mapped_m2 - inner.mapped_m2, 0.0);
    const auto part = [mapped](double a, double b) { return std::clamp(a - b, 0.0, mapped); };
    return {outer.ring_m2 - inner.ring_m2, mapped, part(outer.conifer_m2, inner.conifer_m2),
            part(outer.other_burnable_m2, inner.other_burnable_m2),
            std::max(outer.unmapped_m2 - inner.unmapped_m2, 0.0)};
}

void require_fitting(const Footprint& footprint, const RingOutlines& outlines, const RingPlan& plan)
{
    plan.require_valid();
    require(outlines.within.size() == plan.outer_m.size() + 1,
            "measure: outlines are those of the footprint and one for each distance of the plan");
    for (const Outline& outline : outlines.within)
        require_valid(outline);
    const Box walls = bounds(footprint);
    const Box drawn = bounds(outlines.within.front());
    require(walls.min == drawn.min && walls.max == drawn.max,
            "measure: outlines are not those of the footprint");
}

} // namespace

// The innermost ring stays round: what touches a wall does not care for the slope. The stretch
// applies from the second distance on.
RingOutlines ring_outlines(const Footprint& footprint, const RingPlan& plan,
                           const RingStretch& stretch)
{
    plan.require_distances();
    require_valid(footprint);
    RingOutlines result;
    result.within.reserve(plan.outer_m.size() + 1);
    result.within.push_back(outline_of(footprint));
    for (const double outer_m : plan.outer_m) {
        if (result.within.size() == 2)
            result.widest = stretch;
        result.within.push_back(outline_of_valid(footprint, outer_m, result.widest));
        result.worst_method = std::max(result.worst_method, result.within.back().method);
    }
    return result;
}

CellRect cells_needed(const RingOutlines& outlines, const CellFrame& frame, const Grid& grid)
{
    require(!outlines.within.empty(), "cells_needed: there are no outlines");
    return widened(grid.cells_of(frame, bounds(outlines.within.back())), 1);
}

std::vector<double> areas_within(const RingOutlines& outlines)
{
    std::vector<double> areas;
    areas.reserve(outlines.within.size());
    for (const Outline& outline : outlines.within)
        areas.push_back(area_m2(outline));
    return areas;
}

std::vector<coverage::Integral> integrals_within(const RingOutlines& outlines,
                                                 const CellFrame& frame, const Grid& grid,
                                                 const FuelWindow& fuel)
{
    const coverage::Gatherer gatherer{frame, grid, fuel, bounds(outlines.within.back())};
    std::vector<coverage::Integral> within;
    within.reserve(outlines.within.size());
    for (const Outline& outline : outlines.within)
        within.push_back(gatherer.integrate(outline));
    return within;
}

StructureMeasure rings_between(std::span<const coverage::Integral> within,
                               std::span<const double> areas_m2, const Grid& grid)
{
    const auto inside = [&](std::size_t k) {
        return in_m2(within[k], areas_m2[k], grid.cell_area_m2());
    };
    StructureMeasure result;
    RingArea inner = inside(0);
    result.roof = between(inner, {});
    result.rings.resize(within.size() - 1);
    for (std::size_t k = 1; k < within.size(); ++k) {
        const RingArea outer = inside(k);
        result.rings[k - 1] = between(outer, inner);
        inner = outer;
    }
    return result;
}

StructureMeasure measure_from(std::span<const coverage::Integral> within,
                              const Footprint& footprint, const RingOutlines& outlines,
                              const CellFrame& frame, const Grid& grid, const FuelWindow& fuel,
                              const RingPlan& plan)
{
    StructureMeasure result = rings_between(within, areas_within(outlines), grid);
    result.method = outlines.worst_method;
    result.nearest_conifer_m =
        coverage::nearest_conifer_m(footprint, frame, grid, fuel, plan.widest_m());
    // On a slope the widest ring reaches further than its distance: look there, too.
    if (!result.nearest_conifer_m && !outlines.widest.is_round())
        result.nearest_conifer_m =
            coverage::nearest_conifer_in_m(footprint, outlines.within.back(), frame, grid, fuel);
    return result;
}

StructureMeasure measure(const Footprint& footprint, const RingOutlines& outlines,
                         const CellFrame& frame, const Grid& grid, const FuelWindow& fuel,
                         const RingPlan& plan)
{
    require_fitting(footprint, outlines, plan);
    return measure_from(integrals_within(outlines, frame, grid, fuel), footprint, outlines, frame,
                        grid, fuel, plan);
}

} // namespace fuelring
