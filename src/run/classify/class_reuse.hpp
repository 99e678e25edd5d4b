// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/cog/run_rasters.hpp"
#include "run/cache/cache_db.hpp"
#include "run/cache/input_digests.hpp"
#include "run/classify/class_blocks.hpp"

#include <nlohmann/json_fwd.hpp>

#include <atomic>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>

namespace fuelring {

class KeptOverviews;

/// Model and blocks of an earlier classification that stand for those of this one, and what is kept
/// for the next. Law: the results are the same bits with and without it; a state that is absent,
/// old or damaged costs time. What `compute` throws comes out, and nothing is kept of it.
class ClassReuse {
public:
    /// `file`: the state of the output folder `out`, whose lock is held; `published`: the run whose
    /// set lies there whole. `inputs`: empty where nobody can tell what changed: nothing is then
    /// reused or kept. `full`: nothing is reused.
    ClassReuse(const std::filesystem::path& file, bool full, InputDigests inputs,
               const std::filesystem::path& out, const std::string& published);
    ~ClassReuse(); ///< without keep(): the old state stays

    /// True where the set in the folder was made by this program from these very inputs.
    bool is_same_run() const { return old_fuel_ && knows_inputs() && inputs_ == old_inputs_; }
    /// False where keys mean nothing.
    bool knows_inputs() const { return !inputs_.empty(); }

    /// Begins the new state; what comes before it is not kept. Does nothing where keys mean
    /// nothing.
    void begin();

    // Both require begin() and knows_inputs().
    /// The model that is kept under `key`, else what `learn` makes.
    ClassModel model(const RawDigest& key, const std::function<ClassModel()>& learn);
    /// The same of a block, whose cells it puts into the rasters; thread-safe.
    ToldBlock block(const ClassBlock& at, const RawDigest& key, ClassRasters& rasters,
                    const std::function<ToldBlock()>& tell);
    /// Finishes the rasters, with overviews of the earlier ones where these are the same.
    void finish(ClassRasters& rasters);
    /// Empty where the new state is in place or there is none, else what went wrong.
    std::string keep(const std::string& run_id);

    /// `reuse` of run.json: how many of model and blocks were reused.
    nlohmann::json json() const;

private:
    bool take_block(const ClassBlock& at, std::string_view kept, ClassRasters& rasters,
                    ToldBlock& into);
    std::unique_ptr<KeptOverviews> overviews_of(PackedBlocks& file, const char* fact);

    InputDigests inputs_;
    StateReader old_;
    InputDigests old_inputs_;
    std::filesystem::path file_;
    bool full_;
    std::unique_ptr<PackedBlocks> old_fuel_, old_share_; ///< none where nothing can be reused
    std::unique_ptr<StateWriter> next_;                  ///< none where nothing is kept
    std::atomic<std::int64_t> reused_ = 0, computed_ = 0;
    bool model_reused_ = false;
};

} // namespace fuelring
