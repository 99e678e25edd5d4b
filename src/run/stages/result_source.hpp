// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/cache/result_cache.hpp"
#include "run/inputs/inputs.hpp"
#include "run/stages/stages.hpp"

#include <nlohmann/json.hpp>

namespace fuelring {

/// Where a run of `map` has its figures from. This one computes what `reuse` does not have, which
/// stands in the context; others merge those of shards. Asked once for each, in this order, from
/// one thread. Refers to `context` and `reuse`, which must outlive it.
/// Law: the same bits from every source.
/// Throws: what the stages throw (stages.hpp); a source that merges, also Error{input} where a
/// part is damaged.
class ResultSource {
public:
    ResultSource(const StageContext& context, Reuse& reuse) : context_(context), reuse_(reuse) {}
    virtual ~ResultSource() = default;

    /// result[i] belongs to structure i. `times` are added to, as by all that follow.
    virtual std::vector<MeasuredStructure> measures(WorkTimes& times)
    {
        return measure_structures(context_, times);
    }
    /// Whether cells near structures have codes that the class table lacks.
    virtual bool met_unknown_codes() const { return context_.raster.met_unknown_codes(); }
    /// `counts` are added to.
    virtual AddedConifers unions(const std::vector<MeasuredStructure>& measures,
                                 UnionCounts& counts, WorkTimes& times)
    {
        return unite_structures(context_, measures, counts, times);
    }
    /// With config.uncertainty only.
    virtual DrawnFigures draws(const std::vector<StructureResult>& results, WorkTimes& times)
    {
        return draw_registrations(context_, results, times);
    }
    /// Puts every block into both rasters, which the caller finishes; totals of the whole surface.
    virtual SurfaceTotals surface(const std::vector<StructureResult>& results, RasterOut& priority,
                                  RasterOut& fuel_used, WorkTimes& times)
    {
        return sum_of(spread_surface(context_, results, priority, fuel_used, times),
                      context_.raster.classes().rows().size());
    }

    /// `reuse`, and `shards` where there are any, of run.json.
    virtual nlohmann::json told() const { return {{"reuse", reuse_.json()}}; }
    /// The same for the log.
    virtual std::string text() const { return reuse_.text(); }

protected:
    const StageContext& context_;
    Reuse& reuse_;
};

} // namespace fuelring
