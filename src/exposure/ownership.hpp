// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "coverage/gather.hpp"
#include "geometry/partition/parcel_map.hpp"

#include <fuelring/fuel_window.hpp>
#include <fuelring/grid.hpp>
#include <fuelring/measure.hpp>

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// Whose ground a community stands on: parcels, and what kind of owner each has.
struct Ownership {
    ParcelMap map;                             ///< in units of the grid, from its corner
    std::size_t parcels = 0;                   ///< on the map
    std::vector<ParcelShape> shapes;           ///< by parcel, as the map has taken them
    std::vector<std::int32_t> class_of;        ///< by parcel, index into `classes`
    std::vector<std::string> classes;          ///< owner classes, sorted bytewise
    std::optional<std::int32_t> private_class; ///< index of the private one, where there is one

    /// How the ground around a structure is shared out: `own`, `other_private`, the classes that
    /// are not private in their order, `no_parcel`.
    /// Shape: `share_count()` names; `share_of` counts in them.
    std::vector<std::string> shares() const;
    std::size_t share_count() const;
    /// How ground is shared out where no parcel is anybody's own: `classes`, then `no_parcel`.
    std::vector<std::string> kinds() const;
    std::size_t kind_count() const { return classes.size() + 1; }
    std::size_t kind_of(std::int32_t parcel) const
    {
        return static_cast<std::size_t>(parcel == no_parcel
                                            ? static_cast<std::int32_t>(classes.size())
                                            : class_of[static_cast<std::size_t>(parcel)]);
    }
    /// The share of a parcel's ground for the structure that stands on parcel `own`.
    int share_of(std::int32_t parcel, std::int32_t own) const;
};

/// Places that are no parcels as such a map: place k is parcel k and class k, named by its number.
/// `places`: units of the grid from the corner of cell (0, 0). Ground that several claim belongs to
/// the first. A place without ground stays a class.
Ownership map_of_places(const std::vector<Footprint>& places);

/// How a structure's frame lies in the units of the grid, from the corner of cell (0, 0).
/// Law: to_local(to_grid(p)) = p, to rounding.
struct FrameOnGrid {
    LocalScale scale;
    Point shift;

    FrameOnGrid(const CellFrame& frame, LocalScale map_scale, const Grid& grid)
        : scale(map_scale), shift{static_cast<double>(frame.col) * grid.cell_width_m(),
                                  -static_cast<double>(frame.row) * grid.cell_height_m()}
    {}
    Point to_grid(Point local) const
    {
        return {local.x * scale.x + shift.x, local.y * scale.y + shift.y};
    }
    Box to_grid(const Box& local) const { return {to_grid(local.min), to_grid(local.max)}; }
    Point to_local(Point on_grid) const
    {
        return {(on_grid.x - shift.x) / scale.x, (on_grid.y - shift.y) / scale.y};
    }
};

/// A parcel, and how much of a footprint it holds.
struct ParcelPart {
    std::int32_t parcel;
    double m2; ///< of the footprint's frame
};
/// The parcel that holds most of a footprint (any part beats none; equal parts, within 1e-9 of the
/// whole, go to the first parcel of the file), or nothing where none holds any.
/// Source: Green's theorem with x dy along the parts' boundaries.
std::optional<ParcelPart> most_of_footprint(const Footprint& footprint, const FrameOnGrid& frame,
                                            const ParcelMap& map);
/// Its number alone.
std::optional<std::int32_t> parcel_under(const Footprint& footprint, const FrameOnGrid& frame,
                                         const ParcelMap& map);

/// Conifer area by owner around one structure.
struct OwnerSplit {
    std::optional<std::int32_t> own; ///< number of the structure's own parcel
    /// Square metres: [k * shares + share], k = 0 over the roof, k = 1 the first ring, ...;
    /// shares: own, other_private, the other classes of owners, no_parcel.
    std::vector<double> conifer_m2;
    bool nudged = false; ///< parcel lines were moved by some micrometres so that parts close
    bool open = false;   ///< parts did not close even so: the areas are NaN, not known
};

/// What a run measures around one structure: the library's figures, and whose the conifers are.
struct MeasuredStructure : StructureMeasure {
    std::shared_ptr<const OwnerSplit> owners; ///< where there are parcels

    MeasuredStructure() = default;
    MeasuredStructure(StructureMeasure measure, std::shared_ptr<const OwnerSplit> split = {})
        : StructureMeasure{std::move(measure)}, owners{std::move(split)}
    {}
};

/// `measure`, and the conifer area of every ring split by owner (MeasuredStructure::owners), each
/// share integrated along its own boundary, in one walk. `on_grid`: how `frame` lies on the map of
/// parcels; the others as for `measure`.
/// Law: over the shares a ring adds up to its conifer_m2 within 1e-9 of it. The figures that
/// `measure` gives differ from its own by rounding only.
/// Source: src/geometry/partition/README.md
MeasuredStructure measure_by_owner(const Footprint& footprint, const RingOutlines& outlines,
                                   const CellFrame& frame, const Grid& grid, const FuelWindow& fuel,
                                   const RingPlan& plan, const FrameOnGrid& on_grid,
                                   const Ownership& owners);

/// Conifer area of a region in a structure's frame, by Ownership::kinds.
struct ConiferByKind {
    double m2 = 0; ///< of the whole region
    std::vector<double> of_kind;
    bool nudged = false; ///< as of OwnerSplit
    bool open = false;
};
/// `region`: closed. The same splitting as `measure_by_owner`. Law: of_kind adds up to m2 within
/// 1e-9 of it.
ConiferByKind conifer_by_kind(const Outline& region, const coverage::Gatherer& gatherer,
                              const Grid& grid, const FrameOnGrid& on_grid,
                              const Ownership& owners);

/// A region of a structure's frame, cut by whose ground it is.
struct RegionByKind {
    std::vector<Outline> of_kind; ///< by Ownership::kinds; closed unless `open`
    bool nudged = false;          ///< as of OwnerSplit
    bool open = false;
};
/// `region`: closed. The same splitting as `conifer_by_kind`, for whatever is to be integrated.
RegionByKind region_by_kind(const Outline& region, const FrameOnGrid& on_grid,
                            const Ownership& owners);

/// Conifer within each distance of one structure, by kind: [k * kinds + kind], k = 0 the roof,
/// roofs included in the others.
std::vector<double> within_by_kind(const OwnerSplit& split, const Ownership& owners);

} // namespace fuelring
