// SPDX-License-Identifier: Apache-2.0

// Merging: the plan of who does what is made again from the community; it says of every record of a
// part which structures or which block it is of. Figures go to their structures, packed blocks
// into the rasters as they are, and sums are made in the order in which one run makes them.
#include "run/shards/merged_results.hpp"

#include "run/schedule/parallel.hpp"
#include "run/shards/shard_results.hpp"
#include "run/stages/stage_phases.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace fuelring {

namespace {

[[noreturn]] void refuse(const PartReader& part, const std::string& what)
{
    throw Error{Failure::input, what, part.file().string(),
                fmt::format("run fuelring map --shard {} again as you merge, then merge again",
                            name_of(part.head().shard))};
}

void require_origin(const PartReader& part, const InputDigests& origin)
{
    const std::vector<std::string> differ = differences(origin, part.head().origin);
    const auto has = [&](const char* key) {
        return std::find(differ.begin(), differ.end(), key) != differ.end();
    };
    if (has("program"))
        refuse(part, "the part was made by another version of fuelring or of its libraries");
    if (has("configuration"))
        refuse(part, "the part was made with another configuration");
    if (!differ.empty())
        refuse(part,
               fmt::format("the part was made from other inputs: {}", fmt::join(differ, ", ")));
}

void require_number(const PartReader& part, const PartReader& first)
{
    const Shard& shard = part.head().shard;
    if (shard.of != first.head().shard.of)
        throw Error{Failure::input,
                    fmt::format("the part is shard {}, and {} is one of {}", name_of(shard),
                                first.file().string(), first.head().shard.of),
                    part.file().string(), "merge the parts of one number of shards"};
    if (shard.of < 1 || shard.of > most_shards || shard.number < 1 || shard.number > shard.of)
        part.fail_as_damaged("there is no such shard");
}

void require_each_once(const std::vector<PartReader>& sorted, const std::filesystem::path& config)
{
    for (std::size_t k = 1; k < sorted.size(); ++k)
        if (sorted[k].head().shard.number == sorted[k - 1].head().shard.number)
            throw Error{Failure::input,
                        fmt::format("shard {} is given twice, the first time as {}",
                                    name_of(sorted[k].head().shard), sorted[k - 1].file().string()),
                        sorted[k].file().string(), "name each part once"};
    const int of = sorted.front().head().shard.of;
    std::vector<std::string> missing;
    std::size_t at = 0;
    for (int number = 1; number <= of; ++number)
        if (at < sorted.size() && sorted[at].head().shard.number == number)
            ++at;
        else
            missing.push_back(name_of(Shard{number, of}));
    if (missing.empty())
        return;
    constexpr std::size_t most = 20;
    const std::size_t count = missing.size();
    missing.resize(std::min(count, most));
    throw Error{Failure::input,
                fmt::format("{} of {} shards are missing: {}{}", count, of,
                            fmt::join(missing, ", "), count > most ? ", ..." : ""),
                config.string(),
                fmt::format("run fuelring map --shard {} (and so on), then merge all parts",
                            missing.front())};
}

class MergedResults : public ResultSource {
public:
    MergedResults(const StageContext& context, const Inputs& inputs, std::vector<PartReader>& parts,
                  Reuse& reuse)
        : ResultSource(context, reuse), parts_(parts),
          plan_(context.community, context.raster.grid(), context.config.rings,
                context.config.furthest_m(), context.config.draws(), static_cast<int>(parts.size()))
    {
        reuse_.begin_anew(fmt::format("merged from {} shards", parts.size()));
        require_same_community(inputs);
        read_figures();
    }

    std::vector<MeasuredStructure> measures(WorkTimes&) override
    {
        return std::move(figures_.measures);
    }
    bool met_unknown_codes() const override
    {
        return std::any_of(parts_.begin(), parts_.end(),
                           [](const PartReader& p) { return p.head().met_unknown_codes; });
    }
    AddedConifers unions(const std::vector<MeasuredStructure>&, UnionCounts& counts,
                         WorkTimes&) override
    {
        counts += counts_;
        return std::move(figures_.added);
    }
    DrawnFigures draws(const std::vector<StructureResult>&, WorkTimes&) override
    {
        return std::move(figures_.drawn);
    }
    SurfaceTotals surface(const std::vector<StructureResult>& results, RasterOut& priority,
                          RasterOut& fuel_used, WorkTimes& times) override;

    nlohmann::json told() const override
    {
        nlohmann::json shards = nlohmann::json::array();
        for (const PartReader& part : parts_) {
            const int shard = part.head().shard.number - 1;
            shards.push_back({{"shard", part.head().shard.number},
                              {"file", part.file().filename().string()},
                              {"structures", plan_.structures_of(shard).size()},
                              {"surface_blocks", plan_.blocks_of(shard).size()}});
        }
        return {{"reuse", reuse_.json()}, {"shards", shards}};
    }
    std::string text() const override
    {
        return fmt::format("merged {} shards: {} structures, {} blocks of the surface",
                           plan_.shards(), context_.community.structures.size(),
                           plan_.blocks().tiles().size());
    }

private:
    void require_same_community(const Inputs& inputs) const
    {
        const std::string digest = community_digest(inputs);
        for (const PartReader& part : parts_)
            if (part.head().community != digest)
                refuse(part, "the part's machine placed the structures otherwise than this one "
                             "(grid files of PROJ?)");
    }

    /// Calls visit(part, shard) for all parts, in parallel.
    template <typename Visit>
    void for_each_part(Visit visit)
    {
        for_each_in_parallel(context_.jobs, parts_.size(), [&](std::size_t k) {
            context_.check_cancelled();
            visit(parts_[k], static_cast<int>(k));
            parts_[k].rest();
        });
    }

    void read_figures()
    {
        const std::size_t count = context_.community.structures.size();
        figures_.measures.resize(count);
        figures_.added = AddedConifers{context_.community, context_.config.rings};
        if (const auto& uncertainty = context_.config.uncertainty) {
            figures_.drawn.exposures =
                ExposureDraws{count, static_cast<std::size_t>(uncertainty->draws)};
            figures_.drawn.structures.resize(count);
        }
        const auto work =
            work_of::measure + work_of::unite + work_of::draw * context_.config.draws();
        context_.progress.begin(
            {"reading", "parts", std::ssize(parts_), work * static_cast<std::int64_t>(count)});
        for_each_part([&](PartReader& part, int shard) {
            const std::vector<std::uint32_t> structures = plan_.structures_of(shard);
            get_figures(part, structures, figures_);
            context_.progress.advance();
        });
        for (const PartReader& part : parts_)
            counts_ += part.head().union_counts;
    }

    std::vector<PartReader>& parts_;
    ShardPlan plan_;
    StructureFigures figures_;
    UnionCounts counts_;
};

SurfaceTotals MergedResults::surface(const std::vector<StructureResult>&, RasterOut& priority,
                                     RasterOut& fuel_used, WorkTimes&)
{
    const std::vector<TileIndex::Tile>& blocks = plan_.blocks().tiles();
    std::vector<SurfaceTotals> totals(blocks.size());
    context_.progress.begin(
        surface_phase(std::ssize(blocks), std::ssize(blocks), context_.community));
    for_each_part([&](PartReader& part, int shard) {
        for (const std::uint32_t t : plan_.blocks_of(shard)) {
            context_.check_cancelled();
            totals[t] = get_block(part, blocks[t], priority, fuel_used);
            context_.progress.advance();
        }
        part.require_end();
    });
    return sum_of(totals, context_.raster.classes().rows().size());
}

} // namespace

std::vector<PartReader> open_parts(const std::vector<std::filesystem::path>& files,
                                   const InputDigests& origin, const std::filesystem::path& config)
{
    std::vector<PartReader> parts;
    for (const std::filesystem::path& file : files) {
        parts.emplace_back(file).rest();
        require_number(parts.back(), parts.front());
        require_origin(parts.back(), origin);
    }
    std::stable_sort(parts.begin(), parts.end(), [](const PartReader& a, const PartReader& b) {
        return a.head().shard.number < b.head().shard.number;
    });
    require_each_once(parts, config);
    return parts;
}

std::unique_ptr<ResultSource> merged_results(const StageContext& context, const Inputs& inputs,
                                             std::vector<PartReader>& parts, Reuse& reuse)
{
    return std::make_unique<MergedResults>(context, inputs, parts, reuse);
}

} // namespace fuelring
