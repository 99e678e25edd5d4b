// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/cache/result_cache.hpp"
#include "run/inputs/inputs.hpp"
#include "run/stages/stages.hpp"

#include <memory>

namespace fuelring {

/// Where a run of `map` has its figures from: it computes them, or merges those of shards. Asked
/// once for each, in this order.
/// Law: the same bits from every source.
class ResultSource {
public:
    virtual ~ResultSource() = default;

    virtual std::vector<StructureMeasure> measures(WorkTimes& times) = 0;
    /// Whether cells near structures have codes that the class table lacks.
    virtual bool met_unknown_codes() const = 0;
    virtual AddedConifers unions(const std::vector<StructureMeasure>& measures, UnionCounts& counts,
                                 WorkTimes& times) = 0;
    /// With config.uncertainty only.
    virtual DrawnFigures draws(const std::vector<StructureResult>& results, WorkTimes& times) = 0;
    virtual SurfaceTotals surface(const std::vector<StructureResult>& results, RasterOut& priority,
                                  RasterOut& fuel_used, WorkTimes& times) = 0;

    /// `reuse`, and `shards` where there are any, of run.json.
    virtual nlohmann::json told() const = 0;
    /// The same for the log.
    virtual std::string text() const = 0;
};

/// Computes what `reuse` does not have, which stands in `context`.
std::unique_ptr<ResultSource> computed_results(const StageContext& context, const Inputs& inputs,
                                               Reuse& reuse);

} // namespace fuelring
