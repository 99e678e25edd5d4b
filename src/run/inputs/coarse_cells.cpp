// SPDX-License-Identifier: Apache-2.0
#include "run/inputs/coarse_cells.hpp"

#include "io/tables/tables_out.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace fuelring {

namespace {

double width_m(const RingPlan& plan, std::size_t ring)
{
    return plan.outer_m[ring] - (ring == 0 ? 0 : plan.outer_m[ring - 1]);
}

} // namespace

std::optional<Warning> coarse_cells_warning(const Community& community, const Grid& grid,
                                            const RingPlan& plan)
{
    double narrowest_m = plan.widest_m();
    for (std::size_t ring = 0; ring < plan.outer_m.size(); ++ring)
        narrowest_m = std::min(narrowest_m, width_m(plan, ring));
    std::int64_t concerned = 0;
    Grid coarsest = grid;
    double largest_m = 0;
    for (const Structure& structure : community.structures) {
        const Grid ground = grid.at_scale(structure.map_scale);
        const double cell_m = std::max(ground.cell_width_m(), ground.cell_height_m());
        concerned += cell_m > narrowest_m ? 1 : 0;
        if (cell_m > largest_m) {
            largest_m = cell_m;
            coarsest = ground;
        }
    }
    if (concerned == 0)
        return std::nullopt;
    std::vector<std::string> rings;
    for (std::size_t ring = 0; ring < plan.outer_m.size(); ++ring)
        if (width_m(plan, ring) < largest_m)
            rings.push_back(ring_label(plan, ring));
    return Warning{"coarse_cells",
                   fmt::format("cells of {:.4g} x {:.4g} m are wider than rings of {} structures: "
                               "the figures of these rings are below the data's resolution",
                               coarsest.cell_width_m(), coarsest.cell_height_m(), concerned),
                   concerned, rings};
}

} // namespace fuelring
