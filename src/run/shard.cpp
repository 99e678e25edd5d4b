// SPDX-License-Identifier: Apache-2.0

// A shard reads all footprints, neighbourhoods and parcels, since the coordinate system, the local
// scales, what lies near what and who does which part all come from the whole community. Then it
// measures and unites its own structures, spreads its own blocks of the surface, for which it also
// measures structures of others whose rings reach into them, and writes it all as one file.
// Addresses, ranks and warnings are left to whoever merges.
#include "base/program/signals.hpp"
#include "run/inputs/run_memory.hpp"
#include "run/manifest/manifest.hpp"
#include "run/map.hpp"
#include "run/publish/publish_lock.hpp"
#include "run/publish/publish_set.hpp"
#include "run/shards/shard_results.hpp"
#include "run/stages/slopes.hpp"
#include "run/stages/stage_phases.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>

namespace fuelring {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

/// The next run into a published folder replaces it as a whole.
void require_outside(const fs::path& folder, const fs::path& out_dir)
{
    std::error_code error;
    const fs::path whole = fs::weakly_canonical(folder, error);
    const fs::path out = fs::weakly_canonical(fs::absolute(out_dir, error), error);
    for (fs::path above = whole; above.has_relative_path(); above = above.parent_path())
        if (above == out || read_set(above).is_sound())
            throw Error{
                Failure::usage,
                fmt::format("the parts would lie inside the output folder {}", above.string()),
                folder.string(),
                "give --out a folder of its own: the next run replaces that one as a whole"};
}

/// Where the part goes; makes the folder.
fs::path part_file(const fs::path& out_dir, const Shard& shard, const MapOptions& options)
{
    fs::path folder = options.out.value_or(out_dir);
    if (!folder.has_filename())
        folder = folder.parent_path(); // "out/" is "out"
    if (!options.out)
        folder += ".shards";
    std::error_code error;
    folder = fs::absolute(folder, error);
    require_outside(folder, out_dir);
    if (!error)
        fs::create_directories(folder, error);
    if (error)
        throw output_error("the folder for the parts cannot be made", folder, error.value());
    const auto digits = fmt::formatted_size("{}", shard.of);
    return folder / fmt::format("shard-{:0{}}-of-{}.part", shard.number, digits, shard.of);
}

/// A folder beside the part, for what is gone when the run ends. One that a killed run left goes
/// first; the lock of the part is held.
class WorkFolder {
public:
    explicit WorkFolder(const fs::path& part)
        : path_(part.parent_path() / fmt::format(".{}.work", part.filename().string()))
    {
        std::error_code error;
        fs::remove_all(path_, error);
        if (!error)
            fs::create_directory(path_, error);
        if (error)
            throw output_error("the folder to work in cannot be made", path_, error.value());
    }
    ~WorkFolder()
    {
        std::error_code ignored; // the next run tries again
        fs::remove_all(path_, ignored);
    }
    WorkFolder(const WorkFolder&) = delete;
    WorkFolder& operator=(const WorkFolder&) = delete;
    const fs::path& path() const { return path_; }

private:
    fs::path path_;
};

/// A raster that holds the blocks of a part until they are written.
RasterOut part_raster(const fs::path& path, RasterOutSpec::Kind kind, const FuelRaster& raster)
{
    return {{path, kind, {}, {}}, raster.grid(), raster.crs()};
}

/// The work of a shard, once its inputs are there.
class ShardRun {
public:
    ShardRun(const Config& config, const Inputs& inputs, const ShardPlan& plan, int shard,
             const MemoryPlan& memory, const fs::path& folder, Progress& progress)
        : plan_(plan), shard_(shard), share_(plan.share(shard)),
          progress_(progress), context_{config,       inputs.community,  *inputs.raster,
                                        memory.jobs,  memory.tile_cells, progress_,
                                        stop_if_asked},
          priority_(part_raster(folder / "points", RasterOutSpec::Kind::surface, *inputs.raster)),
          fuel_used_(part_raster(folder / "fuel", RasterOutSpec::Kind::fuel_used, *inputs.raster))
    {
        context_.share = &share_;
        progress_.expect(work_of_map(config.draws(), inputs.community) / plan.shards());
    }

    void compute(Inputs& inputs, StageTimes& stages)
    {
        stages.begin("measure structures");
        figures_.measures = measure_structures(context_, work_);
        const FuelSource& fuel = context_.config.inputs.fuel;
        if (fuel.holds_shares() ||
            (inputs.raster->met_unknown_codes() && !fuel.unknown_codes_are_unmapped))
            judge_unknown_codes(inputs, census_around(inputs, context_.config.rings),
                                fuel); // say so now: the merge would fail
        stages.begin("unite neighbourhoods");
        figures_.added = unite_structures(context_, figures_.measures, union_counts_, work_);
        std::vector<StructureResult> results(figures_.measures.size());
        for (std::size_t i = 0; i < results.size(); ++i)
            results[i].measure = &figures_.measures[i];
        if (context_.config.uncertainty) {
            stages.begin("draw registrations");
            figures_.drawn = draw_registrations(context_, results, work_);
        }
        stages.begin("spread the surface");
        totals_ = spread_surface(context_, results, priority_, fuel_used_, work_);
    }

    void write(const fs::path& file, PartHead head)
    {
        head.union_counts = union_counts_;
        progress_.begin({"writing the part"});
        PartWriter part{file, head};
        put_figures(part, plan_.structures_of(shard_), figures_);
        for (const std::uint32_t t : plan_.blocks_of(shard_)) {
            stop_if_asked();
            put_block(part, plan_.blocks().tiles()[t], totals_[t], priority_, fuel_used_);
        }
        part.finish();
        progress_.done();
    }

    const WorkTimes& work() const { return work_; }

private:
    const ShardPlan& plan_;
    int shard_;
    Share share_;
    Progress& progress_;
    StageContext context_;
    WorkTimes work_;
    StructureFigures figures_;
    UnionCounts union_counts_;
    RasterOut priority_;
    RasterOut fuel_used_;
    std::vector<SurfaceTotals> totals_;
};

/// Whether the part is there and whole.
bool is_made(const fs::path& file, const PartHead& head)
{
    if (std::error_code error; !fs::exists(file, error))
        return false;
    try {
        PartReader part{file};
        if (part.head().shard.number != head.shard.number ||
            part.head().shard.of != head.shard.of || part.head().origin != head.origin)
            return false;
        while (!part.at_end())
            part.next();
        return true;
    } catch (const Error&) {
        return false; // it is made again
    }
}

} // namespace

json run_shard(const Config& config, const Shard& shard, const MapOptions& options, Log& log)
{
    Progress progress{log};
    progress.begin({"reading inputs"});
    StageTimes stages;
    stages.begin("look for changes");
    const fs::path file = part_file(config.output.dir, shard, options);
    const FolderLock lock{file.parent_path() / fmt::format(".{}.lock", file.filename().string()),
                          file};
    const InputDigests digests = input_digests(config);
    PartHead head{shard, part_origin(config.text_of_map, config.file, digests), "", false, {}};
    json summary = {{"part", file.string()}, {"shard", shard.number}, {"of", shard.of}};
    if (!options.full && is_made(file, head)) {
        log.info(
            fmt::format("shard {} is already made: {} is kept", name_of(shard), file.string()));
        summary["nothing_changed"] = true;
        return summary;
    }

    stages.begin("read inputs");
    Config for_shard = config;
    for_shard.inputs.addresses.reset(); // who merges has to do with them, no part
    const std::unique_ptr<Inputs> inputs = read_inputs(for_shard, log, digests);
    stop_if_asked();
    stages.begin("find slopes");
    find_slopes(*inputs, for_shard, workers_of(for_shard.run.jobs, options.jobs), stop_if_asked);
    const MemoryPlan memory = plan_memory(*inputs, for_shard, options.jobs, log);
    stages.begin("share out the work");
    const ShardPlan plan{inputs->community,      inputs->raster->grid(), for_shard.rings,
                         for_shard.furthest_m(), for_shard.draws(),      shard.of};

    const WorkFolder folder{file};
    ShardRun run{for_shard, *inputs, plan, shard.number - 1, memory, folder.path(), progress};
    run.compute(*inputs, stages);
    stages.begin("write the part");
    require_unchanged(inputs->files);
    head.community = community_digest(*inputs);
    head.met_unknown_codes = inputs->raster->met_unknown_codes();
    run.write(file, head);
    stages.end();

    summary["structures"] = plan.structures_of(shard.number - 1).size();
    summary["surface_blocks"] = plan.blocks_of(shard.number - 1).size();
    summary["timings"] = timings_of(stages, run.work(), memory.jobs);
    summary["timings"]["planned_memory_mb"] = std::round(memory.bytes / 1e6);
    log.info(fmt::format(
        "shard {}: {} of {} structures, {} of {} blocks of the surface in {}", name_of(shard),
        plan.structures_of(shard.number - 1).size(), inputs->community.structures.size(),
        plan.blocks_of(shard.number - 1).size(), plan.blocks().tiles().size(), file.string()));
    return summary;
}

} // namespace fuelring
