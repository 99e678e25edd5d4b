// SPDX-License-Identifier: Apache-2.0
#include "geometry/union_by_geos.hpp"

#include "geometry/body.hpp"
#include "geometry/capsules.hpp"

#include <geos_c.h>

#include <cmath>
#include <memory>
#include <stdexcept>
#include <string>

namespace fuelring {
namespace {

struct ContextFinish {
    void operator()(GEOSContextHandle_t context) const noexcept { GEOS_finish_r(context); }
};

/// GEOS needs its context to destroy a geometry, so this deleter carries it.
struct GeometryDestroy {
    GEOSContextHandle_t context;
    void operator()(GEOSGeometry* g) const noexcept { GEOSGeom_destroy_r(context, g); }
};
using GeometryPtr = std::unique_ptr<GEOSGeometry, GeometryDestroy>;

/// The corners of a piece with its arcs cut into chords; both ends as they are, bit for bit.
std::vector<Point> corners_of(const Piece& piece)
{
    std::vector<Point> corners{piece.start};
    const double step = quarter_turn / capsule_quadrant_pieces;
    const int chords = piece.arc ? static_cast<int>(std::ceil((piece.t1 - piece.t0) / step)) : 1;
    for (int k = 1; k < chords; ++k) {
        const double t = piece.t0 + (piece.t1 - piece.t0) * k / chords;
        corners.push_back(piece.centre + std::cos(t) * piece.u + std::sin(t) * piece.v);
    }
    corners.push_back(piece.end);
    return corners;
}

class Regions {
public:
    Regions() : context_(GEOS_init_r())
    {
        GEOSContext_setErrorMessageHandler_r(
            context_.get(),
            [](const char* message, void* self) { static_cast<Regions*>(self)->reason_ = message; },
            this);
    }
    Regions(const Regions&) = delete;
    Regions& operator=(const Regions&) = delete;

    GeometryPtr region(const Outline& outline)
    {
        std::vector<GEOSGeometry*> lines;
        for (const Piece& piece : outline.pieces)
            lines.push_back(line(corners_of(piece)).release());
        const GeometryPtr all = collection(GEOS_MULTILINESTRING, lines);
        const GeometryPtr noded = own(GEOSUnaryUnion_r(context_.get(), all.get()));
        return own(GEOSBuildArea_r(context_.get(), noded.get()));
    }

    GeometryPtr united(std::vector<GeometryPtr> parts)
    {
        std::vector<GEOSGeometry*> raw;
        for (GeometryPtr& part : parts)
            raw.push_back(part.release());
        const GeometryPtr all = collection(GEOS_GEOMETRYCOLLECTION, raw);
        return own(GEOSUnaryUnion_r(context_.get(), all.get()));
    }

    GeometryPtr difference(const GeometryPtr& a, const GeometryPtr& b)
    {
        return own(GEOSDifference_r(context_.get(), a.get(), b.get()));
    }

    /// The rings of all polygons in a geometry.
    std::vector<RawLoop> rings_of(const GEOSGeometry* g)
    {
        const auto context = context_.get();
        std::vector<RawLoop> rings;
        for (int i = 0; i < GEOSGetNumGeometries_r(context, g); ++i) {
            const GEOSGeometry* part = GEOSGetGeometryN_r(context, g, i);
            if (GEOSGeomTypeId_r(context, part) != GEOS_POLYGON || GEOSisEmpty_r(context, part))
                continue;
            rings.push_back({vertices(GEOSGetExteriorRing_r(context, part)), false});
            for (int k = 0; k < GEOSGetNumInteriorRings_r(context, part); ++k)
                rings.push_back({vertices(GEOSGetInteriorRingN_r(context, part, k)), true});
        }
        return rings;
    }

private:
    GeometryPtr own(GEOSGeometry* g)
    {
        if (!g)
            throw std::runtime_error("GEOS cannot unite outlines: " + reason_);
        return {g, GeometryDestroy{context_.get()}};
    }

    GeometryPtr line(const std::vector<Point>& corners)
    {
        GEOSCoordSequence* sequence =
            GEOSCoordSeq_create_r(context_.get(), static_cast<unsigned>(corners.size()), 2);
        for (unsigned i = 0; sequence && i < corners.size(); ++i)
            GEOSCoordSeq_setXY_r(context_.get(), sequence, i, corners[i].x, corners[i].y);
        return own(sequence ? GEOSGeom_createLineString_r(context_.get(), sequence) : nullptr);
    }

    GeometryPtr collection(int type, std::vector<GEOSGeometry*>& parts)
    {
        return own(GEOSGeom_createCollection_r(context_.get(), type, parts.data(),
                                               static_cast<unsigned>(parts.size())));
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

    std::unique_ptr<GEOSContextHandle_HS, ContextFinish> context_;
    std::string reason_;
};

} // namespace

Outline difference_by_geos(const Outline& region, const std::vector<Outline>& others)
{
    Regions geos;
    std::vector<GeometryPtr> parts;
    for (const Outline& other : others)
        parts.push_back(geos.region(other));
    const GeometryPtr beyond = geos.difference(geos.region(region), geos.united(std::move(parts)));
    Outline outline = outline_of(normalised(geos.rings_of(beyond.get())));
    outline.method = OutlineMethod::capsules;
    return outline;
}

} // namespace fuelring
