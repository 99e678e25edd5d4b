// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "geometry/geos.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"

#include <fuelring/fuel_classes.hpp>

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// What a visit found.
enum class CorrectionKind { not_conifer, conifer, unmapped, gone };
inline constexpr std::array<std::string_view, 4> correction_kinds{"not_conifer", "conifer",
                                                                  "unmapped", "gone"};
inline std::string_view name_of(CorrectionKind kind)
{
    return correction_kinds[static_cast<std::size_t>(kind)];
}

/// Groups that ground without conifers may be of. Where a row names none, grass: ground that burns,
/// so that a gap in a record is never taken for safer ground.
inline constexpr std::array not_conifer_groups{FuelGroup::grass, FuelGroup::broadleaved,
                                               FuelGroup::shrub, FuelGroup::built,
                                               FuelGroup::water, FuelGroup::bare};

/// One row of the corrections.
struct Correction {
    std::int64_t feature = 0; ///< number of the row in its file
    CorrectionKind kind = CorrectionKind::not_conifer;
    FuelGroup group = not_conifer_groups.front(); ///< of not_conifer
    bool names_group = false;                     ///< else nobody said which
    std::string structure_id{};
    std::string date{}; ///< YYYY-MM-DD
    std::string initials{};
    /// The shape, in cells of the analysis grid: x the column, y the row downwards.
    std::vector<RawPolygon> polygons{};
    std::vector<Point> points{};

    bool has_shape() const { return !polygons.empty() || !points.empty(); }
};

/// Rows by date, those of one day in the order of the file. `layers` is told of the shapes' CRS;
/// empty where there are no shapes.
/// Throws: Error{input} naming layer and row: no or another kind, no date, not signed, neither
/// shape nor structure, a group that is none, a shape that is neither polygon nor point, shapes
/// without CRS.
std::vector<Correction> read_corrections(const CorrectionSource& source,
                                         const AnalysisGrid& analysis,
                                         std::vector<LayerCrs>& layers);

} // namespace fuelring
