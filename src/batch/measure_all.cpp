// SPDX-License-Identifier: Apache-2.0
#include "batch/batch_run.hpp"
#include "geometry/require.hpp"

#include <algorithm>
#include <array>
#include <limits>

namespace fuelring {

namespace {

using batch::BatchRun;
using batch::Prepared;

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

void require_columns(const Columns& c, std::size_t features, std::size_t rings)
{
    const auto fits = [](std::size_t size, std::size_t wanted) {
        return size == 0 || size == wanted;
    };
    require(fits(c.status.size(), features), "columns: status has a place for each feature");
    for (const auto& column : {c.exposure, c.nearest_conifer_m, c.footprint_m2, c.roof_canopy_m2})
        require(fits(column.size(), features), "columns: one place for each feature");
    for (const auto& column : {c.ring_m2, c.mapped_m2, c.conifer_m2, c.conifer_frac,
                               c.other_burnable_frac, c.unmapped_frac})
        require(fits(column.size(), features * rings),
                "columns: one place for each feature and ring");
}

void forget(const Columns& c)
{
    std::fill(c.status.begin(), c.status.end(), FeatureStatus::empty);
    for (const auto& column :
         {c.exposure, c.nearest_conifer_m, c.footprint_m2, c.roof_canopy_m2, c.ring_m2, c.mapped_m2,
          c.conifer_m2, c.conifer_frac, c.other_burnable_frac, c.unmapped_frac})
        std::fill(column.begin(), column.end(), not_known);
}

void put(const std::span<double>& column, std::size_t at, std::optional<double> value)
{
    if (!column.empty())
        column[at] = value.value_or(not_known);
}

/// `shares`: what else grows in a cell is not known.
void put_measure(const Columns& c, const Prepared& p, const StructureMeasure& m,
                 const RingPlan& plan, bool shares)
{
    put(c.exposure, p.feature, exposure(m, plan));
    put(c.nearest_conifer_m, p.feature, m.nearest_conifer_m);
    put(c.footprint_m2, p.feature, area_m2(p.footprint));
    put(c.roof_canopy_m2, p.feature, m.roof.conifer_m2);
    for (std::size_t k = 0; k < m.rings.size(); ++k) {
        const RingArea& ring = m.rings[k];
        const std::size_t at = p.feature * m.rings.size() + k;
        put(c.ring_m2, at, ring.ring_m2);
        put(c.mapped_m2, at, ring.mapped_m2);
        put(c.conifer_m2, at, ring.conifer_m2);
        put(c.conifer_frac, at, ring.conifer_frac());
        put(c.other_burnable_frac, at, shares ? std::nullopt : ring.other_burnable_frac());
        put(c.unmapped_frac, at, ring.unmapped_frac());
    }
}

} // namespace

const char* name_of(FeatureStatus status)
{
    constexpr std::array names{"ok",           "repaired",  "empty",  "not_finite",
                               "not_polygons", "malformed", "failed", "too_large"};
    return names.at(static_cast<std::size_t>(status));
}

void measure_all(const FootprintsView& footprints, const RasterView& raster,
                 const FuelClassTable& classes, const RingPlan& plan, const Columns& columns,
                 const BatchOptions& options)
{
    BatchRun run{footprints, raster, classes, plan, options, 1};
    require_columns(columns, run.features().size(), plan.outer_m.size());
    forget(columns);
    run.measure(
        [&](std::size_t feature, FeatureStatus status) {
            if (!columns.status.empty())
                columns.status[feature] = status;
        },
        [&](const Prepared& p, const StructureMeasure& m) {
            put_measure(columns, p, m, plan, raster.full_share > 0);
        });
}

} // namespace fuelring
