// SPDX-License-Identifier: Apache-2.0
#include "run/stages/result_source.hpp"

#include <nlohmann/json.hpp>

namespace fuelring {

namespace {

class ComputedResults : public ResultSource {
public:
    ComputedResults(const StageContext& context, const Inputs& inputs, Reuse& reuse)
        : context_(context), reuse_(reuse)
    {
        reuse_.look_at(context, inputs);
    }

    std::vector<StructureMeasure> measures(WorkTimes& times) override
    {
        return measure_structures(context_, times);
    }
    bool met_unknown_codes() const override { return context_.raster.met_unknown_codes(); }
    AddedConifers unions(const std::vector<StructureMeasure>& measures, UnionCounts& counts,
                         WorkTimes& times) override
    {
        return unite_structures(context_, measures, counts, times);
    }
    DrawnFigures draws(const std::vector<StructureResult>& results, WorkTimes& times) override
    {
        return draw_registrations(context_, results, times);
    }
    SurfaceTotals surface(const std::vector<StructureResult>& results, RasterOut& priority,
                          RasterOut& fuel_used, WorkTimes& times) override
    {
        return sum_of(spread_surface(context_, results, priority, fuel_used, times),
                      context_.raster.classes().rows().size());
    }
    nlohmann::json told() const override { return {{"reuse", reuse_.json()}}; }
    std::string text() const override { return reuse_.text(); }

private:
    const StageContext& context_;
    Reuse& reuse_;
};

} // namespace

std::unique_ptr<ResultSource> computed_results(const StageContext& context, const Inputs& inputs,
                                               Reuse& reuse)
{
    return std::make_unique<ComputedResults>(context, inputs, reuse);
}

} // namespace fuelring
