// SPDX-License-Identifier: Apache-2.0

// A Cloud Optimized GeoTIFF has its directories in front and its smallest pictures first, so it
// cannot be written as the blocks come. They are packed by whoever brings them and spilled to an
// unlinked file; `finish` makes each overview from the packed tiles of the level below it, or
// takes it over from the file of an earlier run where the tiles below are that file's, lays the
// file out, copies the packed tiles into it in order, and has GDAL read it all back. So memory
// holds a few tiles a thread, and the bytes depend on the blocks alone, not on their order or on
// threads.
#include "io/cog/cog_writer.hpp"

#include "base/parallel_for.hpp"
#include "base/program/durable_file.hpp"
#include "io/cog/cog_tags.hpp"
#include "io/cog/cog_verify.hpp"
#include "io/cog/kept_overviews.hpp"
#include "io/cog/tiff_container.hpp"
#include "io/cog/tile_store.hpp"

#include <fuelring/error.hpp>

#include <algorithm>
#include <bit>
#include <limits>
#include <mutex>
#include <stdexcept>

namespace fuelring {

static_assert(out_block_cells == tile_side);

namespace {

using OutKind = RasterOutSpec::Kind;

/// Bytes gathered before they are handed to the file.
constexpr std::size_t written_at_once_bytes = 4 << 20;

/// Halved until one block holds the whole raster.
std::vector<LevelSize> level_sizes(const Grid& grid)
{
    std::vector<LevelSize> levels = {{grid.cols(), grid.rows()}};
    while (levels.back().cols > tile_side || levels.back().rows > tile_side)
        levels.push_back({(levels.back().cols + 1) / 2, (levels.back().rows + 1) / 2});
    return levels;
}

void require_sizes(const RasterOutSpec& spec, const Grid& grid)
{
    constexpr std::int64_t most = std::numeric_limits<std::int32_t>::max();
    if (grid.cols() > most || grid.rows() > most)
        throw Error{Failure::output, "a GeoTIFF has at most 2,147,483,647 columns and rows",
                    spec.path.string(), "give the fuel raster of a smaller area"};
}

} // namespace

struct RasterOut::Impl {
    using Tiles = std::vector<std::pair<TileKey, TileRecord>>;

    Impl(const RasterOutSpec& wanted, const Grid& place, const Crs& system)
        : spec(wanted), grid(place), crs(system), levels(level_sizes(place)), spill(wanted.path)
    {}

    bool surface() const { return spec.kind == OutKind::surface; }
    std::uint32_t nodata() const { return surface() ? nan_word : no_data_word; }

    std::unique_ptr<TileCodec> take_codec();
    void give_back(std::unique_ptr<TileCodec> codec);
    template <typename Fill>
    void put(std::int64_t col, std::int64_t row, Fill&& fill);
    void store(const TileKey& key, ConstTileWords tile, TileCodec& codec);
    void make_overview(int level, const KeptOverviews* earlier);
    bool take_over(const TileKey& parent, const Tiles& children, const KeptOverviews& earlier,
                   TileCodec& codec);
    void put_packed(std::int64_t col, std::int64_t row, std::span<const std::byte> packed,
                    const PackedBlockFacts& facts, bool kept);
    std::array<BandStats, 2> statistics() const;
    std::vector<TiffImage> images() const;
    void write_file();

    RasterOutSpec spec;
    Grid grid;
    Crs crs;
    std::vector<LevelSize> levels;
    TileSpill spill;
    std::mutex guard;
    std::vector<std::unique_ptr<TileCodec>> idle; ///< buffers that no thread uses just now
};

std::unique_ptr<TileCodec> RasterOut::Impl::take_codec()
{
    {
        const std::lock_guard lock{guard};
        if (!idle.empty()) {
            auto codec = std::move(idle.back());
            idle.pop_back();
            return codec;
        }
    }
    return std::make_unique<TileCodec>();
}

void RasterOut::Impl::give_back(std::unique_ptr<TileCodec> codec)
{
    const std::lock_guard lock{guard};
    idle.push_back(std::move(codec));
}

/// `fill` writes the words of the block.
template <typename Fill>
void RasterOut::Impl::put(std::int64_t col, std::int64_t row, Fill&& fill)
{
    const LevelSize& size = levels.front();
    if (col < 0 || row < 0 || col >= size.tile_cols() || row >= size.tile_rows())
        throw std::logic_error{"a block lies outside its raster"};
    const std::int64_t cols = std::min<std::int64_t>(tile_side, size.cols - col * tile_side);
    const std::int64_t rows = std::min<std::int64_t>(tile_side, size.rows - row * tile_side);
    auto codec = take_codec();
    fill(codec->words());
    TileWords block = codec->words();
    if (cols < tile_side || rows < tile_side) {
        copy_padded(block, static_cast<int>(cols), static_cast<int>(rows), nodata(),
                    codec->parent());
        block = codec->parent();
    }
    store({0, row, col}, block, *codec);
    give_back(std::move(codec));
}

/// A tile without a valid cell stays sparse, which reads the same.
void RasterOut::Impl::store(const TileKey& key, ConstTileWords tile, TileCodec& codec)
{
    if (!has_valid_cell(tile, surface()))
        return;
    TileRecord record;
    if (key.level == 0 && surface())
        record.stats = {float_stats(tile), {}};
    else if (key.level == 0)
        record.stats = pair_stats(tile);
    record.checksum = checksum_of(tile);
    spill.store(key, codec.pack(tile), record);
}

/// Takes a tile over from the earlier file where the tiles below it are the same as there: all of
/// these are kept, and where there is none now, there was none. An empty tile is the same as one
/// beyond the edge: both are nodata.
bool RasterOut::Impl::take_over(const TileKey& parent, const Tiles& children,
                                const KeptOverviews& earlier, TileCodec& codec)
{
    std::array<bool, 4> is_there{};
    for (const auto& [key, record] : children) {
        if (!record.kept)
            return false;
        is_there[static_cast<std::size_t>(2 * (key.row % 2) + key.col % 2)] = true;
    }
    for (std::size_t k = 0; k < is_there.size(); ++k) {
        const auto place = static_cast<std::int64_t>(k);
        if (!is_there[k] &&
            earlier.has({parent.level - 1, 2 * parent.row + place / 2, 2 * parent.col + place % 2}))
            return false;
    }
    const std::optional<TileRecord> record = earlier.read(parent, codec.bytes());
    if (record)
        spill.store(parent, codec.bytes(), *record);
    return record.has_value();
}

void RasterOut::Impl::make_overview(int level, const KeptOverviews* earlier)
{
    // Gathered before the work is shared out: store() adds to the tiles while the threads run.
    std::map<TileKey, Tiles> children_of;
    for (const auto& [key, record] : spill.tiles())
        if (key.level == level - 1)
            children_of[{level, key.row / 2, key.col / 2}].emplace_back(key, record);
    const std::vector<decltype(children_of)::value_type> parents(children_of.begin(),
                                                                 children_of.end());
    // Each parent belongs to one thread, so its words are written by one; order does not matter.
    share_out(parents.size(), spec.threads, [&](const auto& next) {
        auto codec = take_codec();
        for (std::size_t k = next(); k < parents.size(); k = next()) {
            if (earlier && take_over(parents[k].first, parents[k].second, *earlier, *codec))
                continue;
            std::ranges::fill(codec->parent(), nodata());
            for (const auto& [key, record] : parents[k].second) {
                spill.load(record, *codec, codec->words());
                const auto shrink = surface() ? average_into : thin_into;
                shrink(codec->words(), key.col % 2 != 0, key.row % 2 != 0, codec->parent());
            }
            store(parents[k].first, codec->parent(), *codec);
        }
        give_back(std::move(codec));
    });
}

void RasterOut::Impl::put_packed(std::int64_t col, std::int64_t row,
                                 std::span<const std::byte> packed, const PackedBlockFacts& facts,
                                 bool kept)
{
    TileRecord record;
    record.checksum = facts.checksum;
    record.stats = facts.stats;
    record.kept = kept;
    spill.store({0, row, col}, packed, record);
}

std::array<BandStats, 2> RasterOut::Impl::statistics() const
{
    std::array<BandStats, 2> all;
    for (const auto& [key, record] : spill.tiles())
        for (std::size_t band = 0; key.level == 0 && band < all.size(); ++band)
            all[band].join(record.stats[band]);
    return all;
}

std::vector<TiffImage> RasterOut::Impl::images() const
{
    std::vector<TiffImage> images(levels.size());
    for (std::size_t k = 0; k < levels.size(); ++k) {
        images[k].tags = picture_tags(spec.kind, static_cast<std::uint32_t>(levels[k].cols),
                                      static_cast<std::uint32_t>(levels[k].rows), k > 0);
        images[k].tile_sizes.assign(
            static_cast<std::size_t>(levels[k].tile_cols() * levels[k].tile_rows()), 0);
    }
    for (const auto& [key, record] : spill.tiles()) {
        const auto level = static_cast<std::size_t>(key.level);
        const std::int64_t index = key.row * levels[level].tile_cols() + key.col;
        images[level].tile_sizes[static_cast<std::size_t>(index)] = record.size;
    }
    for (TiffTag& tag : georeference_tags(grid, crs))
        images.front().tags.push_back(std::move(tag));
    images.front().tags.push_back(metadata_tag(spec, statistics(), grid.cols() * grid.rows()));
    return images;
}

void RasterOut::Impl::write_file()
{
    DurableFile file{spec.path};
    std::string bytes = tiff_layout(images(), spec.always_big).head;
    std::vector<std::byte> packed;
    for (int level = static_cast<int>(levels.size()); level-- > 0;) {
        for (const auto& [key, record] : spill.tiles()) {
            if (key.level != level)
                continue;
            spill.load(record, packed);
            append_framed(bytes, reinterpret_cast<const char*>(packed.data()), record.size);
            if (bytes.size() >= written_at_once_bytes) {
                file.write(bytes);
                bytes.clear();
            }
        }
    }
    file.write(bytes);
    file.finish();
}

bool PackedBlockFacts::fit(std::span<const std::byte> packed) const
{
    return checksum_of(packed) == packed_checksum;
}

RasterOut::RasterOut(const RasterOutSpec& spec, const Grid& grid, const Crs& crs)
{
    require_sizes(spec, grid);
    impl_ = std::make_unique<Impl>(spec, grid, crs);
}

RasterOut::~RasterOut() = default;

void RasterOut::put(std::int64_t block_col, std::int64_t block_row, std::span<const float> values)
{
    if (!impl_->surface() || values.size() != tile_cells)
        throw std::logic_error{"a surface takes blocks of 512 x 512 floats"};
    impl_->put(block_col, block_row, [&](TileWords words) {
        std::ranges::transform(values, words.begin(),
                               [](float v) { return std::bit_cast<std::uint32_t>(v); });
    });
}

void RasterOut::put(std::int64_t block_col, std::int64_t block_row,
                    std::span<const std::uint16_t> band1, std::span<const std::uint16_t> band2)
{
    if (impl_->surface() || band1.size() != tile_cells || band2.size() != tile_cells)
        throw std::logic_error{"fuel_used takes two blocks of 512 x 512 UInt16"};
    impl_->put(block_col, block_row, [&](TileWords words) {
        std::ranges::transform(
            band1, band2, words.begin(),
            [](std::uint32_t low, std::uint32_t high) { return low | high << 16; });
    });
}

std::optional<PackedBlockFacts> RasterOut::facts(std::int64_t block_col,
                                                 std::int64_t block_row) const
{
    const std::optional<TileRecord> record = impl_->spill.find({0, block_row, block_col});
    if (!record)
        return std::nullopt;
    return PackedBlockFacts{record->checksum, record->packed_checksum, record->stats};
}

void RasterOut::packed(std::int64_t block_col, std::int64_t block_row,
                       std::vector<std::byte>& bytes) const
{
    impl_->spill.load(impl_->spill.find({0, block_row, block_col}).value(), bytes);
}

void RasterOut::put_packed(std::int64_t block_col, std::int64_t block_row,
                           std::span<const std::byte> packed, const PackedBlockFacts& facts)
{
    impl_->put_packed(block_col, block_row, packed, facts, false);
}

void RasterOut::put_kept(std::int64_t block_col, std::int64_t block_row,
                         std::span<const std::byte> packed, const PackedBlockFacts& facts)
{
    impl_->put_packed(block_col, block_row, packed, facts, true);
}

std::vector<OverviewFacts> RasterOut::overviews() const
{
    std::vector<OverviewFacts> tiles;
    for (const auto& [key, record] : impl_->spill.tiles())
        if (key.level > 0)
            tiles.push_back({key.level, key.row, key.col, record.checksum, record.packed_checksum,
                             record.kept});
    return tiles;
}

void RasterOut::finish(const KeptOverviews* earlier)
{
    for (int level = 1; level < static_cast<int>(impl_->levels.size()); ++level)
        impl_->make_overview(level, earlier);
    impl_->write_file();
    try {
        require_readable(impl_->spec, impl_->grid, impl_->levels, impl_->spill.tiles());
    } catch (...) {
        std::error_code ignored; // what was found wrong is the error to tell
        std::filesystem::remove(impl_->spec.path, ignored);
        throw;
    }
}

} // namespace fuelring
