// SPDX-License-Identifier: Apache-2.0
#include "run/inputs/inputs.hpp"

#include "base/faults.hpp"
#include "io/community/community_in.hpp"
#include "io/fuel_layer/fuel_layer.hpp"
#include "io/gdal/environment.hpp"
#include "io/gdal/setup.hpp"
#include "io/tables/layer_copies.hpp"
#include "io/tables/tables_out.hpp"
#include "raster/share_classes.hpp"
#include "run/inputs/class_trials.hpp"
#include "run/inputs/multipliers.hpp"
#include "run/inputs/systems.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <memory>
#include <new>
#include <optional>

namespace fuelring {

namespace {

CommunitySources sources_of(const InputSettings& inputs, GoneStructures* gone)
{
    return {inputs.structures, inputs.addresses, inputs.neighbourhoods, inputs.parcels, gone};
}

/// An empty table where there is none to be read: rasters and layers can be looked at nevertheless.
std::unique_ptr<Inputs> with_classes(const FuelSource& fuel, FaultList& faults)
{
    if (fuel.holds_shares())
        return std::make_unique<Inputs>(share_classes());
    std::unique_ptr<Inputs> inputs;
    faults.attempt([&] { inputs = std::make_unique<Inputs>(FuelClassTable::read(fuel.classes)); });
    return inputs ? std::move(inputs)
                  : std::make_unique<Inputs>(FuelClassTable{std::vector<FuelClass>{}});
}

/// False where the raster cannot be read, or the structures do not lie where it has a grid for
/// them.
bool open_fuel(const FuelSource& fuel, const StructureSource& structures, double reach_m,
               Inputs& inputs, FaultList& faults, Log& log)
{
    std::optional<StructureBoxes> boxes; // looked at once the raster has a place on the ground
    StudyArea study;
    study.area = [&](const Crs& crs, const Box& raster) {
        return boxes.emplace(structures).area(crs, raster);
    };
    study.structures = [&](const Crs& crs, const Box& raster, const GeoArea& area) {
        return boxes.value().on_raster(crs, raster, area);
    };
    study.reach_m = reach_m;
    if (!faults.attempt(
            [&] { inputs.raster = std::make_unique<FuelRaster>(fuel, inputs.classes, study); }))
        return false;
    const FuelRaster& raster = *inputs.raster;
    log.detail(fmt::format("fuel: {} ({})", fuel.path, raster.description()));
    log.detail(fmt::format("analysis in {}", raster.crs().name()));
    log.detail(raster.plan().decision);
    if (const FuelLayer* layer = raster.layer()) {
        inputs.layers.push_back(layer->layer_crs());
        inputs.warnings.insert(inputs.warnings.end(), layer->warnings().begin(),
                               layer->warnings().end());
    }
    return true;
}

/// Vector inputs, as visits found them to be.
void read_community_of(const InputSettings& sources, Inputs& inputs, FaultList& faults, Log& log)
{
    GoneStructures gone;
    if (sources.corrections)
        faults.attempt([&] {
            add_corrected_classes(inputs.classes);
            inputs.field_checks.emplace().rows =
                read_corrections(*sources.corrections, inputs.raster->analysis(), inputs.layers);
            gone = gone_of(*inputs.field_checks);
        });
    inputs.community =
        read_community(sources_of(sources, sources.corrections ? &gone : nullptr),
                       inputs.raster->analysis(), inputs.warnings, &inputs.layers, faults);
    if (!inputs.field_checks || !faults.empty())
        return;
    faults.attempt([&] {
        apply_field_checks(*inputs.field_checks, sources.corrections->path, *inputs.raster,
                           inputs.community, gone);
        say_field_checks(*inputs.field_checks, log);
        warn_of_idle_rows(*inputs.field_checks, inputs.warnings);
    });
}

/// Whether there is memory to look at further inputs: what failed may have failed for want of it,
/// and GDAL ends the process where it gets none.
bool has_room()
{
    constexpr std::size_t room_bytes = 32U << 20;
    try {
        std::string room;
        room.reserve(room_bytes);
        return room.capacity() >= room_bytes;
    } catch (const std::bad_alloc&) {
        return false;
    }
}

void open_elevation(const ElevationSource& source, Inputs& inputs, Log& log)
{
    auto raster = std::make_unique<ElevationRaster>(source, inputs.raster->analysis());
    log.detail(fmt::format("elevation: {} ({})", source.path, raster->description()));
    inputs.layers.push_back(raster->layer_crs());
    const HeightUnitFound& unit = raster->unit();
    const std::string said = fmt::format("heights in {} ({})", name_of(unit.unit), unit.reason);
    if (unit.assumed)
        inputs.warnings.push_back(
            {"height_unit", said + ": set inputs.elevation.unit if that is wrong", 1, {}});
    else
        log.detail(said);
    inputs.elevation = std::move(raster);
}

/// Where there is no raster: enough to look whether heights can be read.
AnalysisGrid anywhere()
{
    return {Grid{{0, 1, 0, 0, 0, -1}, 1, 1}, Crs::wgs84()};
}

/// What is wrong with each of the inputs goes into `faults`.
void read_layers(const InputSettings& sources, const RingPlan& rings, double furthest_m,
                 Inputs& inputs, FaultList& faults, Log& log)
{
    if (open_fuel(sources.fuel, sources.structures, furthest_m, inputs, faults, log)) {
        if (sources.elevation)
            faults.attempt([&] { open_elevation(*sources.elevation, inputs, log); });
        read_community_of(sources, inputs, faults, log);
    } else if (has_room()) {
        look_at_structures(sources.structures, faults);
        look_at_other_layers(sources_of(sources, nullptr), sources.corrections, faults);
        if (sources.elevation && !is_connection_string(sources.elevation->path))
            faults.attempt([&] { ElevationRaster{*sources.elevation, anywhere()}; });
    }
    faults.attempt([&] {
        inputs.community.susceptibility = multipliers_of(
            sources.attributes, sources.structures.path, inputs.community, inputs.warnings);
    });
    const bool readable = inputs.classes.is_listed(1) && !inputs.community.structures.empty();
    if (readable && !faults.empty())
        faults.attempt(
            [&] { judge_unknown_codes(inputs, census_around(inputs, rings), sources.fuel); });
}

double width_m(const RingPlan& plan, std::size_t ring)
{
    return plan.outer_m[ring] - (ring == 0 ? 0 : plan.outer_m[ring - 1]);
}

/// The warning `coarse_cells` where cells are larger on the ground than a ring is wide: it names
/// the size of the cells and the rings, whose figures are below the resolution of the data. The
/// count is that of the structures concerned: map scales differ from place to place. Depends on
/// the structures, the grid and the rings alone.
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

void say_community(const Inputs& inputs, Log& log)
{
    const Community& community = inputs.community;
    log.detail(fmt::format("{} structures, {} addresses, {} neighbourhoods",
                           community.structures.size(), community.addresses.size(),
                           community.neighbourhoods.size()));
    if (community.owners)
        log.detail(fmt::format("{} parcels near them, classes of owners: {}",
                               community.owners->parcels,
                               fmt::join(community.owners->classes, ", ")));
}

} // namespace

std::unique_ptr<Inputs> read_inputs(const Config& config, Log& log,
                                    const std::map<std::string, std::string>& digests)
{
    admit_remote_inputs(config.run.remote_inputs);
    FaultList faults;
    for (const std::string& format : config.output.copies)
        faults.attempt([&] { require_copy_driver(format); });
    const InputPaths paths = configured_inputs(config);
    std::vector<InputFile> files = local_files(paths);
    settle(files, digests, faults, log);
    std::unique_ptr<Inputs> inputs = with_classes(config.inputs.fuel, faults);
    inputs->files = std::move(files);
    if (config.run.remote_inputs)
        faults.attempt([&] { inputs->remote = remote_inputs(paths); });
    inputs->environment = gdal_environment();
    if (!inputs->environment.empty())
        log.detail(
            fmt::format("using environment settings: {}", fmt::join(inputs->environment, ", ")));
    read_layers(config.inputs, config.rings, config.furthest_m(), *inputs, faults, log);
    if (config.sensitivity && inputs->raster)
        faults.attempt([&] {
            (void)read_class_trials(*config.sensitivity, config.inputs.fuel.holds_shares(),
                                    inputs->raster->classes());
        });
    if (faults.empty())
        judge_systems(config.inputs.reprojected_within_m, *inputs, log);
    faults.raise();
    say_community(*inputs, log);
    if (auto coarse = coarse_cells_warning(inputs->community, inputs->raster->grid(), config.rings))
        inputs->warnings.push_back(std::move(*coarse));
    return inputs;
}

nlohmann::json digests_of(const Inputs& inputs)
{
    nlohmann::json digests = digests_of(inputs.files);
    digests.update(remote_inputs_json(inputs.remote));
    return digests;
}

} // namespace fuelring
