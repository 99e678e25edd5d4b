// SPDX-License-Identifier: Apache-2.0

// A record holds 1,024 structures, or one block: large enough that its digest costs next to
// nothing, small enough to be checked before much is done. Which structures a record is of is not
// in it; writer and reader know from the plan.
#include "run/shards/shard_results.hpp"

#include "run/cache/cache_records.hpp"

#include <stdexcept>

namespace fuelring {

namespace {

constexpr std::size_t structures_in_record = 1024;

/// Calls visit(structures) for each record's structures in turn.
template <typename Visit>
void for_each_record(std::span<const std::uint32_t> structures, Visit&& visit)
{
    for (std::size_t first = 0; first < structures.size(); first += structures_in_record)
        visit(structures.subspan(first, std::min(structures_in_record, structures.size() - first)));
}

/// A block as one raster has it: its facts, and its packed bytes where there are any.
void put(ByteWriter& to, const RasterOut& raster, const TileIndex::Tile& block)
{
    const std::optional<PackedBlockFacts> facts = raster.facts(block.col, block.row);
    archive(to, facts);
    if (!facts)
        return;
    std::vector<std::byte> packed;
    raster.packed(block.col, block.row, packed);
    to.put_text({reinterpret_cast<const char*>(packed.data()), packed.size()});
}

void get(ByteReader& from, RasterOut& raster, const TileIndex::Tile& block)
{
    std::optional<PackedBlockFacts> facts;
    archive(from, facts);
    if (!facts)
        return;
    const std::string_view packed = from.text();
    raster.put_packed(block.col, block.row, std::as_bytes(std::span{packed.data(), packed.size()}),
                      *facts);
}

template <typename Bytes>
void archive_figures(Bytes& bytes, std::span<const std::uint32_t> structures,
                     StructureFigures& figures)
{
    for (const std::uint32_t i : structures) {
        archive(bytes, figures.measures[i]);
        bytes.each(figures.added.all_of(i));
        if (figures.drawn.structures.empty())
            continue;
        archive(bytes, figures.drawn.structures[i]);
        bytes.each(figures.drawn.exposures.of(i));
    }
}

/// Calls take(bytes) with the next record. Throws: Error{input} where that does not find in it
/// what it should hold.
template <typename Take>
void take_record(PartReader& part, Take&& take)
{
    ByteReader bytes{part.next()};
    try {
        take(bytes);
    } catch (const std::out_of_range& e) {
        part.fail_as_damaged(e.what());
    }
    if (!bytes.at_end())
        part.fail_as_damaged("a record is too long");
}

} // namespace

void put_figures(PartWriter& part, std::span<const std::uint32_t> structures,
                 StructureFigures& figures)
{
    for_each_record(structures, [&](std::span<const std::uint32_t> some) {
        ByteWriter bytes;
        archive_figures(bytes, some, figures);
        part.put(bytes.bytes());
    });
}

void get_figures(PartReader& part, std::span<const std::uint32_t> structures,
                 StructureFigures& figures)
{
    for_each_record(structures, [&](std::span<const std::uint32_t> some) {
        take_record(part, [&](ByteReader& bytes) { archive_figures(bytes, some, figures); });
    });
}

void put_block(PartWriter& part, const TileIndex::Tile& block, const SurfaceTotals& totals,
               const RasterOut& priority, const RasterOut& fuel_used)
{
    ByteWriter bytes;
    archive(bytes, totals);
    put(bytes, priority, block);
    put(bytes, fuel_used, block);
    part.put(bytes.bytes());
}

SurfaceTotals get_block(PartReader& part, const TileIndex::Tile& block, RasterOut& priority,
                        RasterOut& fuel_used)
{
    SurfaceTotals totals;
    take_record(part, [&](ByteReader& bytes) {
        archive(bytes, totals);
        get(bytes, priority, block);
        get(bytes, fuel_used, block);
    });
    return totals;
}

} // namespace fuelring
