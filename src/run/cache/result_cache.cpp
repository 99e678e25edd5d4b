// SPDX-License-Identifier: Apache-2.0

// A stage asks for a tile's results under the digest of what they depend on (cache_keys.cpp).
// What the earlier run kept under the same digest is the result, bit for bit; else it is computed.
// Either way it goes into the new state, which takes the old one's place only after the run was
// published. So the state may lag behind the folder or be lost, and run.json alone says what is
// published.
//
// Nothing changed: the state names the run that it belongs to and the digests of that run's inputs.
// Where the folder holds that run, whole, and the inputs have the same digests, there is nothing
// to do.
//
// Blocks of the surface lie in the published files, packed. The state holds what the files do not
// say of them, and is believed only where the folder holds the whole set of the run that it names:
// every file was compared with its SHA-256 in run.json when the folder was taken.
#include "run/cache/result_cache.hpp"

#include "base/program/run_names.hpp"
#include "io/cog/kept_overviews.hpp"
#include "run/cache/cache_records.hpp"
#include "run/schedule/parallel.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <stdexcept>

namespace fuelring {

namespace {

enum Stage : int { measuring = 0, uniting = 1, spreading = 2, sloping = 3, drawing = 4 };
constexpr std::array<const char*, 5> stage_names{"measures", "unions", "surface_blocks", "slopes",
                                                 "draws"};

InputDigests digests_from(const std::optional<std::string>& text)
{
    try {
        return text ? nlohmann::json::parse(*text).get<InputDigests>() : InputDigests{};
    } catch (const nlohmann::json::exception&) {
        return {};
    }
}

/// False where the bytes end too soon; what they set is set again by a computation.
bool is_taken(std::string_view kept, const std::function<bool(std::string_view)>& take)
{
    try {
        return take(kept);
    } catch (const std::out_of_range&) {
        return false;
    }
}

} // namespace

Reuse::Reuse(const std::filesystem::path& file, bool full, InputDigests inputs,
             const std::filesystem::path& out, const std::string& published)
    : inputs_(std::move(inputs)), old_(file), old_inputs_(digests_from(old_.fact("inputs"))),
      old_run_(old_.fact("run").value_or("")), file_(file), full_(full)
{
    if (!full && !published.empty() && old_run_ == published) {
        old_priority_ = std::make_unique<PackedBlocks>(out / surface_file);
        old_fuel_used_ = std::make_unique<PackedBlocks>(out / fuel_used_file);
    }
    if (full)
        why_ = "asked for by --full";
    else if (!old_.why_not().empty())
        why_ = "the state of an earlier run is " + old_.why_not();
    else if (old_run_.empty())
        why_ = "the state of an earlier run is damaged";
    else if (const auto changed = differences(inputs_, old_inputs_); !changed.empty())
        why_ = fmt::format("{} changed", fmt::join(changed, ", "));
}

Reuse::~Reuse() = default;

bool Reuse::is_same_run(const std::string& run_id) const
{
    return !full_ && !inputs_.empty() && inputs_ == old_inputs_ && !old_run_.empty() &&
           old_run_ == run_id;
}

void Reuse::look_at(const StageContext& context, const Inputs& inputs)
{
    next();
    on_ = std::make_unique<Dependencies>(context, inputs);
}

void Reuse::begin_anew(const std::string& why)
{
    why_ = why;
    next();
}

void Reuse::tile(int stage, const TileIndex::Tile& at, const RawDigest& key, std::size_t structures,
                 const std::function<bool(std::string_view)>& take,
                 const std::function<std::string()>& compute)
{
    const StatePlace place{stage, at.row, at.col};
    Counts& counts = counts_[static_cast<std::size_t>(stage)];
    const auto number = static_cast<std::int64_t>(structures);
    std::optional<std::string> kept = full_ ? std::nullopt : old_.find(place, key);
    if (kept && is_taken(*kept, take)) {
        counts.reused += number;
    } else {
        kept = compute();
        counts.computed += number;
    }
    next().keep(place, key, *kept);
}

/// The state in the making; begun by the first who needs it.
StateWriter& Reuse::next()
{
    std::call_once(next_made_, [&] { next_ = std::make_unique<StateWriter>(file_); });
    return *next_;
}

template <typename ArchiveAll>
void Reuse::figures(int stage, const TileIndex::Tile& at, const RawDigest& key,
                    std::size_t structures, ArchiveAll&& archive_all,
                    const std::function<void()>& compute)
{
    const auto take = [&](std::string_view kept) {
        ByteReader bytes{kept};
        archive_all(bytes);
        return bytes.at_end();
    };
    tile(stage, at, key, structures, take, [&] {
        compute();
        ByteWriter bytes;
        archive_all(bytes);
        return bytes.bytes();
    });
}

void Reuse::measures(const TileIndex::Tile& at, std::span<const std::uint32_t> structures,
                     std::vector<MeasuredStructure>& results, const std::function<void()>& compute)
{
    if (!on_)
        return compute();
    const auto all = [&](auto& bytes) {
        for (const std::uint32_t i : structures)
            archive(bytes, results[i]);
    };
    figures(measuring, at, on_->of_measures(structures), structures.size(), all, compute);
}

UnionCounts Reuse::unions(const TileIndex::Tile& at, std::span<const std::uint32_t> structures,
                          AddedConifers& results, const std::function<UnionCounts()>& compute)
{
    if (!on_)
        return compute();
    UnionCounts counts;
    const auto all = [&](auto& bytes) {
        archive(bytes, counts);
        for (const std::uint32_t i : structures)
            bytes.each(results.all_of(i));
    };
    figures(uniting, at, on_->of_unions(structures), structures.size(), all,
            [&] { counts = compute(); });
    return counts;
}

void Reuse::draws(const TileIndex::Tile& at, std::span<const std::uint32_t> structures,
                  ExposureDraws& exposures, std::vector<StructureDraws>& results,
                  const std::function<void()>& compute)
{
    if (!on_)
        return compute();
    const auto all = [&](auto& bytes) {
        for (const std::uint32_t i : structures) {
            bytes.each(exposures.of(i));
            archive(bytes, results[i]);
        }
    };
    figures(drawing, at, on_->of_draws(structures), structures.size(), all, compute);
}

void Reuse::slopes(const TileIndex::Tile& at, std::span<const std::uint32_t> structures,
                   const Inputs& inputs, const ElevationSource& source, const RingPlan& rings,
                   std::vector<SlopeFinding>& results, const std::function<void()>& compute)
{
    const auto elevation = inputs_.find("inputs.elevation.path");
    if (elevation == inputs_.end())
        return compute();
    const auto all = [&](auto& bytes) {
        for (const std::uint32_t i : structures)
            archive(bytes, results[i]);
    };
    figures(sloping, at, slopes_digest(inputs, source, rings, elevation->second, structures),
            structures.size(), all, compute);
}

SurfaceTotals Reuse::surface(const TileIndex::Tile& at, std::span<const std::uint32_t> structures,
                             const std::vector<StructureResult>& results, RasterOut& priority,
                             RasterOut& fuel_used, const std::function<SurfaceTotals()>& compute)
{
    if (!on_)
        return compute();
    SurfaceTotals totals;
    const auto take = [&](std::string_view kept) {
        if (!old_priority_)
            return false;
        std::optional<PackedBlockFacts> points, fuel;
        ByteReader bytes{kept};
        archive(bytes, totals);
        archive(bytes, points);
        archive(bytes, fuel);
        std::vector<std::byte> packed_points, packed_fuel;
        const auto is_held = [&](PackedBlocks& file, const auto& facts, auto& packed) {
            return !facts || (file.read(0, at.col, at.row, packed) && facts->fit(packed));
        };
        if (!is_held(*old_priority_, points, packed_points) ||
            !is_held(*old_fuel_used_, fuel, packed_fuel))
            return false;
        if (points)
            priority.put_kept(at.col, at.row, packed_points, *points);
        if (fuel)
            fuel_used.put_kept(at.col, at.row, packed_fuel, *fuel);
        return true;
    };
    tile(spreading, at, on_->of_surface(at, structures, results), 1, take, [&] {
        totals = compute();
        ByteWriter bytes;
        archive(bytes, totals);
        archive(bytes, priority.facts(at.col, at.row));
        archive(bytes, fuel_used.facts(at.col, at.row));
        return bytes.bytes();
    });
    return totals;
}

void Reuse::finish_rasters(int jobs, RasterOut& priority, RasterOut& fuel_used)
{
    const auto finish = [this](RasterOut& raster, PackedBlocks* file, const char* fact) {
        const auto earlier = file ? overviews_of(*file, fact) : nullptr;
        raster.finish(earlier.get());
        if (!on_)
            return;
        const std::vector<OverviewFacts> tiles = raster.overviews();
        for (const OverviewFacts& tile : tiles)
            ++(tile.kept ? overviews_.reused : overviews_.computed);
        ByteWriter bytes;
        archive(bytes, tiles);
        next().say(fact, bytes.bytes());
    };
    run_in_parallel(
        jobs, {[&] { finish(priority, old_priority_.get(), "overviews of the surface"); },
               [&] { finish(fuel_used, old_fuel_used_.get(), "overviews of the fuel used"); }});
}

/// None where the state says nothing of them.
std::unique_ptr<KeptOverviews> Reuse::overviews_of(PackedBlocks& file, const char* fact)
{
    const std::optional<std::string> kept = old_.fact(fact);
    std::vector<OverviewFacts> tiles;
    const auto take = [&](std::string_view text) {
        ByteReader bytes{text};
        archive(bytes, tiles);
        return bytes.at_end();
    };
    return kept && is_taken(*kept, take) ? std::make_unique<KeptOverviews>(file, tiles) : nullptr;
}

std::string Reuse::keep(const std::string& run_id, const InputDigests& inputs)
{
    if (!next_)
        return {};
    next_->say("run", run_id);
    next_->say("inputs", nlohmann::json(inputs == inputs_ ? inputs : InputDigests{}).dump());
    return next_->finish();
}

nlohmann::json Reuse::json() const
{
    nlohmann::json object = {{"why_computed", why_}, {"damaged_rows", old_.damaged()}};
    for (std::size_t k = 0; k < counts_.size(); ++k)
        object[stage_names[k]] = {{"reused", counts_[k].reused.load()},
                                  {"computed", counts_[k].computed.load()}};
    object["overview_tiles"] = {{"reused", overviews_.reused.load()},
                                {"computed", overviews_.computed.load()}};
    return object;
}

std::string Reuse::text() const
{
    if (!full_ && old_.why_not() == absent_state)
        return "nothing to reuse: no earlier run found";
    std::vector<std::string> parts;
    for (std::size_t k = 0; k < counts_.size(); ++k)
        if (const std::int64_t all = counts_[k].reused + counts_[k].computed;
            all > 0 || k <= spreading) // slopes and draws are asked for by some configurations
            parts.push_back(
                fmt::format("{} of {} {}", counts_[k].reused.load(), all, stage_names[k]));
    std::string text = fmt::format("reused {}", fmt::join(parts, ", "));
    if (!why_.empty())
        text += "; computed again: " + why_;
    if (old_.damaged() > 0)
        text += fmt::format("; {} damaged results of the state were left out", old_.damaged());
    return text;
}

} // namespace fuelring
