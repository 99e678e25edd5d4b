// SPDX-License-Identifier: Apache-2.0
#include "geometry/capsules.hpp"

#include "geometry/edges.hpp"

#include <geos_c.h>

#include <memory>
#include <stdexcept>
#include <string>

namespace fuelring {
namespace {

struct ContextFinish {
    void operator()(GEOSContextHandle_t context) const noexcept { GEOS_finish_r(context); }
};
using ContextPtr = std::unique_ptr<GEOSContextHandle_HS, ContextFinish>;

/// GEOS needs its context to destroy a geometry, so this deleter carries it.
struct GeometryDestroy {
    GEOSContextHandle_t context;
    void operator()(GEOSGeometry* g) const noexcept { GEOSGeom_destroy_r(context, g); }
};
using GeometryPtr = std::unique_ptr<GEOSGeometry, GeometryDestroy>;

/// GEOS with one context, its failures turned into exceptions.
class Geos {
public:
    Geos() : context_(GEOS_init_r())
    {
        GEOSContext_setErrorMessageHandler_r(
            context_.get(),
            [](const char* message, void* self) { static_cast<Geos*>(self)->reason_ = message; },
            this);
    }
    Geos(const Geos&) = delete;
    Geos& operator=(const Geos&) = delete;

    GeometryPtr polygon(const Loop& shell)
    {
        GEOSCoordSequence* line =
            GEOSCoordSeq_create_r(context_.get(), static_cast<unsigned>(shell.size() + 1), 2);
        for (std::size_t i = 0; line && i <= shell.size(); ++i) {
            const Point p = shell[i % shell.size()];
            GEOSCoordSeq_setXY_r(context_.get(), line, static_cast<unsigned>(i), p.x, p.y);
        }
        GEOSGeometry* ring = line ? GEOSGeom_createLinearRing_r(context_.get(), line) : nullptr;
        return own(ring ? GEOSGeom_createPolygon_r(context_.get(), ring, nullptr, 0) : nullptr);
    }

    /// The same area by even-odd, where rounding made an outline cross itself.
    GeometryPtr repaired(const GeometryPtr& g)
    {
        return own(GEOSMakeValid_r(context_.get(), g.get()));
    }

    GeometryPtr united(std::vector<GeometryPtr> parts)
    {
        std::vector<GEOSGeometry*> raw;
        raw.reserve(parts.size());
        for (GeometryPtr& part : parts)
            raw.push_back(part.release());
        const GeometryPtr all =
            own(GEOSGeom_createCollection_r(context_.get(), GEOS_GEOMETRYCOLLECTION, raw.data(),
                                            static_cast<unsigned>(raw.size())));
        return own(GEOSUnaryUnion_r(context_.get(), all.get()));
    }

    GeometryPtr in_one_only(const GeometryPtr& a, const GeometryPtr& b)
    {
        return own(GEOSSymDifference_r(context_.get(), a.get(), b.get()));
    }

    /// Calls visit(ring, is_shell) for all rings of a polygon or a collection of polygons.
    template <typename Visit>
    void for_each_ring(const GEOSGeometry* g, Visit&& visit)
    {
        const auto context = context_.get();
        for (int i = 0; i < GEOSGetNumGeometries_r(context, g); ++i) {
            const GEOSGeometry* part = GEOSGetGeometryN_r(context, g, i);
            if (GEOSGeomTypeId_r(context, part) != GEOS_POLYGON || GEOSisEmpty_r(context, part))
                continue;
            visit(vertices(GEOSGetExteriorRing_r(context, part)), true);
            for (int k = 0; k < GEOSGetNumInteriorRings_r(context, part); ++k)
                visit(vertices(GEOSGetInteriorRingN_r(context, part, k)), false);
        }
    }

private:
    GeometryPtr own(GEOSGeometry* g)
    {
        if (!g)
            throw std::runtime_error("GEOS cannot unite capsules: " + reason_);
        return {g, GeometryDestroy{context_.get()}};
    }

    Loop vertices(const GEOSGeometry* ring)
    {
        const GEOSCoordSequence* line = GEOSGeom_getCoordSeq_r(context_.get(), ring);
        unsigned count = 0;
        GEOSCoordSeq_getSize_r(context_.get(), line, &count);
        Loop loop(count);
        for (unsigned i = 0; i < count; ++i)
            GEOSCoordSeq_getXY_r(context_.get(), line, i, &loop[i].x, &loop[i].y);
        return loop;
    }

    ContextPtr context_;
    std::string reason_;
};

/// The hull of edge + body: the part of the boundary with normals to one side about one end, the
/// other part about the other end.
template <typename Body>
Loop capsule(const Edge& edge, const Body& body)
{
    constexpr double step = quarter_turn / capsule_quadrant_pieces;
    Loop loop;
    for (const bool at_b : {true, false}) {
        const Point outwards = at_b ? edge.normal : -1 * edge.normal;
        const double from = body.parameter(outwards);
        double to = body.parameter(-1 * outwards);
        to += to < from ? full_turn : 0;
        // Rounding must not make one more of a whole number of steps.
        const int steps = static_cast<int>(std::ceil((to - from) / step - 1e-6));
        for (int i = 0; i <= steps; ++i) {
            const double t = from + (to - from) * i / steps;
            const Half half = std::cos(t) >= 0 ? Half::downhill : Half::uphill;
            loop.push_back((at_b ? edge.b : edge.a) + body.at(half, t));
        }
    }
    return loop;
}

/// The footprint itself: loops nest, so what is inside an odd number of them.
GeometryPtr interior(Geos& geos, const Footprint& footprint)
{
    GeometryPtr inside = geos.repaired(geos.polygon(footprint.loops.front()));
    for (std::size_t i = 1; i < footprint.loops.size(); ++i)
        inside = geos.in_one_only(inside, geos.repaired(geos.polygon(footprint.loops[i])));
    return inside;
}

} // namespace

template <typename Body>
Outline outline_of_capsules(const Footprint& footprint, const Body& body)
{
    Geos geos;
    std::vector<GeometryPtr> parts;
    for (const Edge& edge : edges_of(footprint, body))
        parts.push_back(geos.polygon(capsule(edge, body)));
    std::vector<GeometryPtr> both;
    both.push_back(geos.united(std::move(parts)));
    both.push_back(interior(geos, footprint));
    const GeometryPtr all = geos.united(std::move(both));

    std::vector<RawLoop> rings;
    geos.for_each_ring(all.get(), [&](Loop&& loop, bool shell) {
        rings.push_back({std::move(loop), !shell});
    });
    Outline outline = outline_of(normalised(rings));
    outline.method = OutlineMethod::capsules;
    return outline;
}

template Outline outline_of_capsules(const Footprint&, const Disc&);
template Outline outline_of_capsules(const Footprint&, const Egg&);

} // namespace fuelring
