// SPDX-License-Identifier: Apache-2.0

// Outlines are computed again, structure by structure, by the function that the measure used: what
// is drawn is what was measured, and none is kept in memory meanwhile.
#include "io/tables/ring_outlines_layer.hpp"

#include "io/geopackage/footprint_wkb.hpp"
#include "io/geopackage/outline_loops.hpp"

namespace fuelring {

void add_ring_outlines(GpkgFile& file, const RunTables& tables)
{
    using Type = GpkgField::Type;
    file.begin_layer("ring_outlines", GpkgFile::Shape::multipolygon,
                     {{"structure_id", Type::text, "Structure"},
                      {"ring", Type::text, "Ring"},
                      {"outer_m", Type::real, "Outer (m)"}});
    const RingPlan& plan = tables.plan;
    for (const Structure& s : tables.community.structures) {
        const RingOutlines outlines = ring_outlines(s.footprint, plan, s.stretch);
        const Grid ground = tables.grid.at_scale(s.map_scale);
        for (std::size_t k = 0; k < plan.outer_m.size(); ++k) {
            const Footprint ring = ring_between(outlines.within[k + 1], outlines.within[k]);
            file.add_row({s.id, ring_label(plan, k), plan.outer_m[k]},
                         wkb_multipolygon(ring, s.frame, ground));
        }
    }
}

} // namespace fuelring
