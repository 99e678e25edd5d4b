// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/serialization.hpp"
#include "io/cog/cog_writer.hpp"
#include "run/schedule/stage_results.hpp"

#include <memory>
#include <optional>
#include <utility>
#include <vector>

namespace fuelring {

// Results as the state of a run and the files of shards keep them: what is read is what was
// written, bit for bit. Who changes a layout raises `layout` (input_digests.cpp) and the mark of
// shard files. Throws: what ByteReader throws where the bytes are too few.
// Each function lists the members once; `bytes` is a ByteWriter or a ByteReader and decides which
// way they go. Law: reading what was written gives equal members, NaN and -0 included. Of a list
// its length comes first; of what may be absent, whether it is there. Areas are square metres of
// the ground, lengths metres. What is read replaces what was there; after an exception it may be
// half replaced, and the caller computes it again.

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, RingArea> a)
{
    bytes(a.ring_m2, a.mapped_m2, a.conifer_m2, a.other_burnable_m2, a.unmapped_m2);
}

/// The flags say how sure a split is: a kept one is as sure as a new one.
template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, OwnerSplit> s)
{
    bytes(s.own, s.conifer_m2, s.nudged, s.open);
}

/// The split by owner is there with parcels only. Reading makes one that no other measure shares.
template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, MeasuredStructure> m)
{
    archive(bytes, m.roof);
    archive_count(bytes, m.rings);
    for (auto& ring : m.rings)
        archive(bytes, ring);
    bytes(m.nearest_conifer_m, m.method);
    bool owners = m.owners != nullptr;
    bytes(owners);
    if constexpr (Bytes::reads) {
        auto split = owners ? std::make_shared<OwnerSplit>() : nullptr;
        if (owners)
            archive(bytes, *split);
        m.owners = std::move(split);
    } else if (owners) {
        archive(bytes, *m.owners);
    }
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, UnionCounts> c)
{
    for (const auto member : UnionCounts::members())
        bytes(c.*member);
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, BandStats> s)
{
    bytes(s.count, s.smallest, s.largest, s.mean, s.squares);
}

/// Empty: nothing was put at this block of the file. The packed bytes themselves are not in it.
template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, std::optional<PackedBlockFacts>> facts)
{
    archive_optional(bytes, facts, [&](auto& f) {
        bytes(f.checksum, f.packed_checksum);
        for (auto& band : f.stats)
            archive(bytes, band);
    });
}

/// Of all overviews of a raster; their number comes first, in 64 bits.
template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, std::vector<OverviewFacts>> tiles)
{
    auto count = static_cast<std::uint64_t>(tiles.size());
    bytes(count);
    if constexpr (Bytes::reads) {
        tiles.clear();
        for (; count > 0; --count) { // no room made for a number that may be wrong
            OverviewFacts& t = tiles.emplace_back();
            bytes(t.level, t.row, t.col, t.checksum, t.packed_checksum);
        }
    } else {
        for (const OverviewFacts& t : tiles)
            bytes(t.level, t.row, t.col, t.checksum, t.packed_checksum);
    }
}

/// Of one block: totals of a run are the sum of its blocks.
template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, SurfaceTotals> t)
{
    bytes(t.points, t.cells, t.unmapped, t.cells_of_class);
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, Spread> s)
{
    bytes(s.p05, s.p95);
}

/// Without what needs all structures: in_first.
template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, StructureDraws> d)
{
    archive(bytes, d.exposure);
    archive_count(bytes, d.conifer_frac);
    for (auto& ring : d.conifer_frac)
        archive(bytes, ring);
    bytes(d.with_exposure);
    if constexpr (Bytes::reads)
        d.in_first.reset();
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, Terrain> t)
{
    archive_optional(bytes, t.slope, [&](auto& s) {
        bytes(s.fall, s.downhill.x, s.downhill.y, s.residual_m, s.height_m, s.cells);
    });
    bytes(t.aspect_deg, t.slope_break_m);
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, SlopeFinding> f)
{
    archive(bytes, f.terrain);
    bytes(f.off_raster, f.impossible);
}

} // namespace fuelring
