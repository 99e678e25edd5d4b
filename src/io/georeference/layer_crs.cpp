// SPDX-License-Identifier: Apache-2.0

// An operation is refused where it is known to be worse than the configuration allows. Where its
// accuracy is not known the run goes on; ballpark operations, and grids that would do better, are
// told.
#include "io/georeference/layer_crs.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

namespace fuelring {

namespace {

void require_accurate(const LayerCrs& layer, double within_m, const std::string& accept)
{
    const CoordinateOperation& operation = layer.operation;
    if (operation.ballpark || operation.accuracy_m.value_or(0) <= within_m)
        return;
    const std::string grids = operation.with_grids.empty()
                                  ? "ask your mapping agency for the layer in the raster's system"
                                  : "install PROJ's grids for " + operation.with_grids;
    throw Error{
        Failure::input,
        fmt::format("{}: places come into the raster's system within {:g} m only, by {}", layer.key,
                    *operation.accuracy_m, operation.name),
        layer.path,
        fmt::format("{}, or accept it with {} = {:g}", grids, accept, *operation.accuracy_m)};
}

} // namespace

void judge_operations(const std::vector<LayerCrs>& layers, double within_m,
                      const std::string& accept, Warnings& warnings)
{
    Warning ballpark{"ballpark_operations", "", 0, {}};
    Warning grids{"grids_missing", "", 0, {}};
    for (const LayerCrs& layer : layers) {
        require_accurate(layer, within_m, accept);
        if (layer.operation.ballpark)
            ballpark.examples.push_back(fmt::format("{}: {}", layer.key, layer.operation.name));
        if (!layer.operation.with_grids.empty())
            grids.examples.push_back(fmt::format("{}: {}", layer.key, layer.operation.with_grids));
    }
    const auto tell = [&warnings](Warning& warning, const char* what) {
        warning.count = static_cast<std::int64_t>(warning.examples.size());
        warning.text =
            fmt::format("{} {} {}", warning.count, warning.count == 1 ? "layer" : "layers", what);
        if (warning.count > 0)
            warnings.push_back(std::move(warning));
    };
    tell(ballpark, "came into the raster's system by a ballpark operation: PROJ knows no "
                   "shift between the datums, places may be off by hundreds of metres");
    tell(grids, "would come more accurately into the raster's system by grids that PROJ "
                "does not find here");
}

} // namespace fuelring
