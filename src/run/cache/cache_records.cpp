// SPDX-License-Identifier: Apache-2.0
#include "run/cache/cache_records.hpp"

#include <stdexcept>

namespace fuelring {

namespace {

void put(ByteWriter& to, const Spread& s)
{
    to.put_if(s.p05);
    to.put_if(s.p95);
}

void get(ByteReader& from, Spread& s)
{
    from.get_if(s.p05);
    from.get_if(s.p95);
}

void put(ByteWriter& to, const RingArea& a)
{
    for (const double m2 :
         {a.ring_m2, a.mapped_m2, a.conifer_m2, a.other_burnable_m2, a.unmapped_m2})
        to.put(m2);
}

void get(ByteReader& from, RingArea& a)
{
    for (double* m2 :
         {&a.ring_m2, &a.mapped_m2, &a.conifer_m2, &a.other_burnable_m2, &a.unmapped_m2})
        from.get(*m2);
}

} // namespace

void put(ByteWriter& to, const StructureMeasure& m)
{
    put(to, m.roof);
    to.put(static_cast<std::uint8_t>(m.rings.size()));
    for (const RingArea& ring : m.rings)
        put(to, ring);
    to.put_if(m.nearest_conifer_m);
    to.put(m.method);
    to.put(m.owners != nullptr);
    if (!m.owners)
        return;
    to.put_if(m.owners->own);
    to.put_all(m.owners->conifer_m2);
    to.put(m.owners->nudged);
    to.put(m.owners->open);
}

void get(ByteReader& from, StructureMeasure& m)
{
    get(from, m.roof);
    std::uint8_t rings = 0;
    from.get(rings);
    m.rings.resize(rings);
    for (RingArea& ring : m.rings)
        get(from, ring);
    from.get_if(m.nearest_conifer_m);
    from.get(m.method);
    bool owners = false;
    from.get(owners);
    m.owners.reset();
    if (!owners)
        return;
    OwnerSplit split;
    from.get_if(split.own);
    from.get_all(split.conifer_m2);
    from.get(split.nudged);
    from.get(split.open);
    m.owners = std::make_shared<const OwnerSplit>(std::move(split));
}

void put(ByteWriter& to, std::span<const double> figures)
{
    for (const double figure : figures)
        to.put(figure);
}

void get(ByteReader& from, std::span<double> figures)
{
    for (double& figure : figures)
        from.get(figure);
}

void put(ByteWriter& to, const std::optional<PackedBlockFacts>& facts)
{
    to.put(facts.has_value());
    if (!facts)
        return;
    to.put(facts->checksum);
    for (const BandStats& s : facts->stats) {
        to.put(s.count);
        for (const double number : {s.smallest, s.largest, s.mean, s.squares})
            to.put(number);
    }
}

void get(ByteReader& from, std::optional<PackedBlockFacts>& facts)
{
    bool there = false;
    from.get(there);
    facts.reset();
    if (!there)
        return;
    from.get(facts.emplace().checksum);
    for (BandStats& s : facts->stats) {
        from.get(s.count);
        for (double* number : {&s.smallest, &s.largest, &s.mean, &s.squares})
            from.get(*number);
    }
}

void put(ByteWriter& to, const SurfaceTotals& t)
{
    to.put(t.points);
    to.put(t.cells);
    to.put(t.unmapped);
    to.put_all(t.cells_of_class);
}

void get(ByteReader& from, SurfaceTotals& t)
{
    from.get(t.points);
    from.get(t.cells);
    from.get(t.unmapped);
    from.get_all(t.cells_of_class);
}

void put(ByteWriter& to, const StructureDraws& d)
{
    put(to, d.exposure);
    to.put(static_cast<std::uint8_t>(d.conifer_frac.size()));
    for (const Spread& s : d.conifer_frac)
        put(to, s);
    to.put(d.with_exposure);
}

void get(ByteReader& from, StructureDraws& d)
{
    get(from, d.exposure);
    std::uint8_t rings = 0;
    from.get(rings);
    d.conifer_frac.resize(rings);
    for (Spread& s : d.conifer_frac)
        get(from, s);
    from.get(d.with_exposure);
    d.in_first.reset();
}

void put(ByteWriter& to, const Terrain& t)
{
    to.put(t.slope.has_value());
    if (t.slope) {
        for (const double number : {t.slope->fall, t.slope->downhill.x, t.slope->downhill.y,
                                    t.slope->residual_m, t.slope->height_m})
            to.put(number);
        to.put(t.slope->cells);
    }
    to.put_if(t.aspect_deg);
    to.put_if(t.slope_break_m);
}

void get(ByteReader& from, Terrain& t)
{
    bool there = false;
    from.get(there);
    t.slope.reset();
    if (there) {
        LocalSlope& slope = t.slope.emplace();
        for (double* number : {&slope.fall, &slope.downhill.x, &slope.downhill.y, &slope.residual_m,
                               &slope.height_m})
            from.get(*number);
        from.get(slope.cells);
    }
    from.get_if(t.aspect_deg);
    from.get_if(t.slope_break_m);
}

} // namespace fuelring
