// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/closed_by.hpp"
#include "io/gdal/crs.hpp"

#include <proj.h>

#include <array>
#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>

namespace fuelring {

using ContextPtr = std::unique_ptr<PJ_CONTEXT, ClosedBy<proj_context_destroy>>;
using PjPtr = std::unique_ptr<PJ, ClosedBy<proj_destroy>>;

/// What PROJ does to bring places of one CRS into another: one operation for all of them.
struct CoordinateOperation {
    std::string name{};                   ///< PROJ's; empty where coordinates stay as they are
    std::optional<double> accuracy_m = 0; ///< as its authors state it; none where they do not
    bool ballpark = false;                ///< no shift between the datums is known, none is applied
    /// The most accurate one that would serve if its grids were installed: "NAME (0.24 m; FILE)".
    std::string with_grids{};
    std::string pipeline{}; ///< in PROJ's words: the operation itself

    bool none() const { return name.empty(); }
    /// "by NAME (stated accuracy 1 m)"; nothing where there is none.
    std::string in_words() const;
};

/// Points from one CRS to another by PROJ, all of them by one and the same operation: neighbours
/// stay neighbours wherever they stand. Not for use by several threads at once; each takes a copy.
class Reprojection {
public:
    /// The operation that PROJ ranks first in `area` among those whose grids are installed. Between
    /// systems on one datum there is but one, and no area is needed.
    /// Throws: Error{input} when PROJ knows no way.
    Reprojection(const Crs& from, const Crs& to, const std::optional<GeoArea>& area = {});
    Reprojection(const Reprojection& other);
    Reprojection(Reprojection&&) noexcept = default;

    /// The way back by the same operation.
    Reprojection inverse() const;
    const CoordinateOperation& operation() const { return operation_; }

    /// False where PROJ gives nothing finite.
    /// Units in and out are those of the two CRSs: metres, feet or degrees. Heights are taken as 0.
    bool apply(Point& p) const;
    bool apply(std::span<Point> points) const;

private:
    void open();
    Point map(Point p) const;

    CoordinateOperation operation_{};
    std::array<int, 2> from_axes_{1, 2}; ///< where x and y stand among PROJ's axes, 1 or 2;
    std::array<int, 2> to_axes_{1, 2};   ///< negative where turned
    bool backwards_ = false;
    ContextPtr context_{};
    PjPtr transform_{}; ///< none between equal CRSs
};

/// Places of a CRS as longitudes and latitudes from Greenwich in degrees, on its own datum.
/// No datum is shifted, so a place may be some hundred metres off WGS 84: enough to tell which
/// operation serves it.
class RoughDegrees {
public:
    /// Throws: Error{input} where the CRS rests on no geographic system.
    explicit RoughDegrees(const Crs& crs);

    /// False where there is no such place.
    /// Up to 540 degrees of longitude are taken as they come: files count from 0 to 360, too.
    bool to_degrees(Point& p) const;
    bool to_place(Point& p) const;

private:
    Reprojection to_geographic_;
    Reprojection from_geographic_;
    double degrees_per_unit_;
    double prime_meridian_;
};

} // namespace fuelring
