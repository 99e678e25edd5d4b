// SPDX-License-Identifier: Apache-2.0
#include "run/classify/class_reuse.hpp"

#include "io/cog/kept_overviews.hpp"
#include "run/classify/class_archive.hpp"

#include <nlohmann/json.hpp>

#include <optional>
#include <stdexcept>
#include <utility>
#include <vector>

namespace fuelring {

namespace {

enum Stage : int { learning = 0, telling = 1 };
constexpr StatePlace place_of_model{learning, 0, 0};
constexpr const char* overviews_of_fuel = "overviews of the fuel";
constexpr const char* overviews_of_share = "overviews of the shares";

InputDigests digests_from(const std::optional<std::string>& text)
{
    try {
        return text ? nlohmann::json::parse(*text).get<InputDigests>() : InputDigests{};
    } catch (const nlohmann::json::exception&) {
        return {};
    }
}

/// False where the bytes are too few or too many.
template <typename Read>
bool reads_whole(std::string_view kept, Read&& read)
{
    try {
        ByteReader bytes{kept};
        read(bytes);
        return bytes.at_end();
    } catch (const std::out_of_range&) {
        return false;
    }
}

} // namespace

ClassReuse::ClassReuse(const std::filesystem::path& file, bool full, InputDigests inputs,
                       const std::filesystem::path& out, const std::string& published)
    : inputs_{std::move(inputs)}, old_{file},
      old_inputs_{digests_from(old_.fact("inputs"))}, file_{file}, full_{full}
{
    if (full || published.empty() || old_.fact("run") != published)
        return;
    old_fuel_ = std::make_unique<PackedBlocks>(out / "fuel.tif");
    old_share_ = std::make_unique<PackedBlocks>(out / "conifer_share.tif");
}

ClassReuse::~ClassReuse() = default;

void ClassReuse::begin()
{
    if (knows_inputs())
        next_ = std::make_unique<StateWriter>(file_);
}

ClassModel ClassReuse::model(const RawDigest& key, const std::function<ClassModel()>& learn)
{
    ClassModel model;
    std::optional<std::string> kept = full_ ? std::nullopt : old_.find(place_of_model, key);
    model_reused_ = kept && reads_whole(*kept, [&](ByteReader& bytes) { archive(bytes, model); });
    if (!model_reused_) {
        model = learn();
        ByteWriter bytes;
        archive(bytes, model);
        kept = bytes.bytes();
    }
    next_->keep(place_of_model, key, *kept);
    return model;
}

bool ClassReuse::take_block(const ClassBlock& at, std::string_view kept, ClassRasters& rasters,
                            ToldBlock& into)
{
    if (!old_fuel_)
        return false;
    std::optional<PackedBlockFacts> fuel, share;
    std::vector<std::byte> packed_fuel, packed_share;
    const auto is_held = [&](PackedBlocks& file, const auto& facts, auto& packed) {
        return !facts || (file.read(0, at.col, at.row, packed) && facts->fit(packed));
    };
    const bool whole = reads_whole(kept, [&](ByteReader& bytes) {
        archive(bytes, into);
        archive(bytes, fuel);
        archive(bytes, share);
    });
    if (!whole || !is_held(*old_fuel_, fuel, packed_fuel) ||
        !is_held(*old_share_, share, packed_share))
        return false;
    if (fuel)
        rasters.fuel.put_kept(at.col, at.row, packed_fuel, *fuel);
    if (share)
        rasters.share.put_kept(at.col, at.row, packed_share, *share);
    return true;
}

ToldBlock ClassReuse::block(const ClassBlock& at, const RawDigest& key, ClassRasters& rasters,
                            const std::function<ToldBlock()>& tell)
{
    const StatePlace place{telling, at.row, at.col};
    std::optional<std::string> kept = full_ ? std::nullopt : old_.find(place, key);
    ToldBlock told;
    if (kept && take_block(at, *kept, rasters, told)) {
        ++reused_;
    } else {
        told = tell();
        ++computed_;
        ByteWriter bytes;
        archive(bytes, told);
        archive(bytes, rasters.fuel.facts(at.col, at.row));
        archive(bytes, rasters.share.facts(at.col, at.row));
        kept = bytes.bytes();
    }
    next_->keep(place, key, *kept);
    return told;
}

void ClassReuse::finish(ClassRasters& rasters)
{
    const auto finish = [this](RasterOut& raster, PackedBlocks* file, const char* fact) {
        const auto earlier = file ? overviews_of(*file, fact) : nullptr;
        raster.finish(earlier.get());
        if (!next_)
            return;
        const std::vector<OverviewFacts> tiles = raster.overviews();
        ByteWriter bytes;
        archive(bytes, tiles);
        next_->say(fact, bytes.bytes());
    };
    finish(rasters.fuel, old_fuel_.get(), overviews_of_fuel);
    finish(rasters.share, old_share_.get(), overviews_of_share);
}

std::unique_ptr<KeptOverviews> ClassReuse::overviews_of(PackedBlocks& file, const char* fact)
{
    const std::optional<std::string> kept = old_.fact(fact);
    std::vector<OverviewFacts> tiles;
    const bool whole =
        kept && reads_whole(*kept, [&](ByteReader& bytes) { archive(bytes, tiles); });
    return whole ? std::make_unique<KeptOverviews>(file, tiles) : nullptr;
}

std::string ClassReuse::keep(const std::string& run_id)
{
    if (!next_)
        return {};
    next_->say("run", run_id);
    next_->say("inputs", nlohmann::json(inputs_).dump());
    return next_->finish();
}

nlohmann::json ClassReuse::json() const
{
    return {{"model", model_reused_ ? "reused" : "made"},
            {"blocks", {{"reused", reused_.load()}, {"computed", computed_.load()}}}};
}

} // namespace fuelring
