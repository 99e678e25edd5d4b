// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/cog_writer.hpp"
#include "io/cog/run_rasters.hpp"
#include "run/cache/cache_db.hpp"
#include "run/cache/cache_keys.hpp"
#include "run/schedule/stage_results.hpp"

#include <nlohmann/json_fwd.hpp>

#include <array>
#include <atomic>
#include <functional>
#include <memory>
#include <mutex>

namespace fuelring {

/// Results of an earlier run that stand for those of this one, tile by tile, and what is kept for
/// the next. Law: the results are the same bits with and without it; a state that is absent, old
/// or damaged costs time. A state that cannot be written costs the next run time, and no more.
/// What `compute` throws comes out, and nothing is kept of that tile.
class Reuse {
public:
    /// `file`: the state of the output folder, whose lock is held. `full`: what it holds is not
    /// used, and a new one is made.
    /// `out`: the folder, where it holds the whole set of the run `published`.
    Reuse(const std::filesystem::path& file, bool full, InputDigests inputs,
          const std::filesystem::path& out, const std::string& published);
    ~Reuse(); ///< without keep(): the old state stays

    /// True where `run_id` was made by this program from these very inputs: there is nothing to do.
    /// False with `full`, and where nobody can tell.
    bool is_same_run(const std::string& run_id) const;

    /// Before the stages but slopes, from one thread: learns what their results depend on, for
    /// which it reads all fuel within reach. Without it they are computed, and nothing of them is
    /// kept. Throws: as Dependencies does. What `context` refers to must outlive the stages.
    void look_at(const StageContext& context, const Inputs& inputs);

    /// In the place of look_at, where results come from elsewhere: nothing is reused, and the new
    /// state says only which run it is of.
    void begin_anew(const std::string& why);

    /// Sets the results of a tile's structures: kept ones, else those that `compute` sets.
    /// `results` is by structure of the community; only places of `structures` are touched. This
    /// and the next four may be called from several threads, once for each tile.
    void measures(const TileIndex::Tile& tile, std::span<const std::uint32_t> structures,
                  std::vector<MeasuredStructure>& results, const std::function<void()>& compute);
    /// The same, with the tile's counts, which `compute` returns.
    UnionCounts unions(const TileIndex::Tile& tile, std::span<const std::uint32_t> structures,
                       AddedConifers& results, const std::function<UnionCounts()>& compute);

    /// The same for the registration draws of a tile's structures.
    void draws(const TileIndex::Tile& tile, std::span<const std::uint32_t> structures,
               ExposureDraws& exposures, std::vector<StructureDraws>& results,
               const std::function<void()>& compute);

    /// The same for slopes, of the stage before look_at. Only `compute` is called where nothing
    /// tells whether the heights changed.
    void slopes(const TileIndex::Tile& tile, std::span<const std::uint32_t> structures,
                const Inputs& inputs, const ElevationSource& source, const RingPlan& rings,
                std::vector<SlopeFinding>& results, const std::function<void()>& compute);

    /// The same for a block of the surface: takes it over from the published files into both, or
    /// `compute`s it and puts it there.
    SurfaceTotals surface(const TileIndex::Tile& block, std::span<const std::uint32_t> structures,
                          const std::vector<StructureResult>& results, RasterOut& priority,
                          RasterOut& fuel_used, const std::function<SurfaceTotals()>& compute);

    /// Finishes both rasters, side by side where `jobs` allow; overviews over kept blocks are taken
    /// over from the published files. Once, when all blocks are there. Throws: Error{output}.
    void finish_rasters(int jobs, RasterOut& priority, RasterOut& fuel_used);

    /// Puts the new state in its place, for a run that was published; empty, or what went wrong.
    /// `inputs`: digests of the inputs after they were read. Where they are not those from before,
    /// an input changed meanwhile: results stay, but no later run takes itself for the same.
    std::string keep(const std::string& run_id, const InputDigests& inputs);

    /// `reuse` of run.json: structures and blocks whose results were reused and computed, the same
    /// of tiles of overviews, and why. After the stages, as is text().
    nlohmann::json json() const;
    /// "reused 990 of 1,000 measures, ...: inputs.fuel.path changed", for the log.
    std::string text() const;

private:
    struct Counts {
        std::atomic<std::int64_t> reused = 0;
        std::atomic<std::int64_t> computed = 0;
    };
    StateWriter& next();
    std::unique_ptr<KeptOverviews> overviews_of(PackedBlocks& file, const char* fact);
    /// Calls take(bytes) with what was kept, or where there is nothing or it returns false,
    /// compute(); and keeps the bytes.
    void tile(int stage, const TileIndex::Tile& at, const RawDigest& key, std::size_t structures,
              const std::function<bool(std::string_view)>& take,
              const std::function<std::string()>& compute);

    /// The same for what archive_all(bytes) lists of a tile's structures; compute() sets it.
    template <typename ArchiveAll>
    void figures(int stage, const TileIndex::Tile& at, const RawDigest& key, std::size_t structures,
                 ArchiveAll&& archive_all, const std::function<void()>& compute);

    InputDigests inputs_;
    std::string why_; ///< results are computed, not reused
    StateReader old_;
    InputDigests old_inputs_;
    std::string old_run_;
    std::unique_ptr<StateWriter> next_;
    std::once_flag next_made_;
    std::filesystem::path file_;
    bool full_;
    std::unique_ptr<Dependencies> on_;
    std::unique_ptr<PackedBlocks> old_priority_; ///< none: not of the run that the state is of
    std::unique_ptr<PackedBlocks> old_fuel_used_;
    std::array<Counts, 5> counts_; ///< by stage
    Counts overviews_;             ///< tiles of both rasters
};

} // namespace fuelring
