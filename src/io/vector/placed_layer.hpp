// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "geometry/geos.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"
#include "io/vector/vector_layer.hpp"
#include "io/vector/vector_outline.hpp"

#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

namespace fuelring {

/// Square metres of the ground that polygons on the grid cover, every one by the scale in the
/// middle of its box. Requires: units of the grid from the corner of cell (0, 0); no overlaps.
double ground_m2(const std::vector<RawPolygon>& polygons, const AnalysisGrid& analysis);

/// A layer whose places come into the analysis CRS, all by the one operation that serves the
/// community's area best.
/// For one thread.
class PlacedLayer : public VectorLayer {
public:
    /// `analysis` must outlive the layer. Throws: as VectorLayer; Error{input} when PROJ knows no
    /// way.
    PlacedLayer(std::string key, const LayerSource& source, const AnalysisGrid& analysis,
                CrsNeed need = CrsNeed::required);

    const AnalysisGrid& analysis() const { return analysis_; }
    /// How its places come into the analysis CRS. Throws: Error{input} where the layer has none.
    LayerCrs layer_crs() const;

    /// Into the analysis CRS; false where a coordinate is not finite before, or no place after.
    bool place(Point& p) const;
    /// Of polygons the vertices up to the first that has no place are moved.
    bool place(std::vector<RawPolygon>& polygons) const;
    /// The complaint that one could not be: `what` is "a vertex", "the point".
    Error not_placed(const OGRFeature& feature, const std::string& what) const;

    /// Polygons of a feature in the analysis CRS. Throws: Error{input} naming the feature where a
    /// vertex cannot be placed.
    RawOutline outline_of(const OGRFeature& feature) const;
    /// The same in units of the grid, from the corner of cell (0, 0).
    std::vector<RawPolygon> polygons_on_grid(const OGRFeature& feature) const;
    /// The same united and without crossings (even-odd); empty where no area stays. `repaired` is
    /// set where a polygon crossed itself. A clean single polygon keeps the vertices of its file.
    /// Throws: as polygons_on_grid; Error{input} with GEOS's reason.
    Footprint clean_on_grid(const OGRFeature& feature, bool& repaired) const;

    /// Does geometry for a feature. Throws: Error{input} naming it, with GEOS's reason, where
    /// `act` throws a std::runtime_error.
    template <typename Act>
    auto shaping(const OGRFeature& feature, const char* remedy, Act&& act) const
    {
        try {
            return act();
        } catch (const std::runtime_error& e) {
            throw wrong_feature(feature, e.what(), remedy);
        }
    }

private:
    const Reprojection& way() const;

    const AnalysisGrid& analysis_;
    std::optional<Reprojection> way_; ///< none where the layer has no CRS
};

} // namespace fuelring
