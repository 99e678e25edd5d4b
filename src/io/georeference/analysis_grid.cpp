// SPDX-License-Identifier: Apache-2.0

// Distances and areas are those of the ground. Three ways lead there, the plainest first: grids
// that are true within 0.1 per cent stand as they are; grids whose rows and columns meet at right
// angles on the ground (all conformal ones, Web Mercator north up) are scaled structure by
// structure; degrees, sheared grids and the rest are warped.
#include "io/georeference/analysis_grid.hpp"

#include "io/gdal/reprojection.hpp"
#include "io/georeference/geotransform.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace fuelring {

namespace {

constexpr double right_angle_tolerance = 1e-9;            ///< as in Grid
constexpr std::int64_t most_grid_cells = 250'000'000'000; ///< as for rasters that are read
constexpr std::int64_t most_cells_along = 2'000'000'000;

Grid grid_of(const SourceGrid& source)
{
    try {
        return {source.geotransform, source.cols, source.rows};
    } catch (const Error& e) {
        throw Error{Failure::input, e.what(), {}, e.remedy()}; // the caller knows the file
    }
}

bool is_sheared(const SourceGrid& source)
{
    const auto& g = source.geotransform;
    const Point along{g[1], g[4]};
    const Point down{g[2], g[5]};
    const double size = std::hypot(along.x, along.y) * std::hypot(down.x, down.y);
    return std::abs(dot(along, down)) > right_angle_tolerance * size &&
           std::abs(cross(along, down)) > 1e-3 * size; // what is flatter has no cells to speak of
}

std::optional<MapScale> scale_if_on_ground(const Crs& crs, const Box& area, GridAxes axes)
{
    try {
        return map_scale(crs, area, axes);
    } catch (const Error&) {
        return std::nullopt; // a corner of a large raster may lie off the map
    }
}

double percent(double ratio)
{
    return 100 * std::abs(ratio - 1);
}

AnalysisPlan as_it_stands(const SourceGrid& source, const Grid& grid, const MapScale& scale)
{
    return {{grid, source.crs},
            GroundRule::grid_stands,
            source,
            scale,
            fmt::format("distances are measured on the map grid of {} (at most {:.4f}% off true "
                        "ground distance)",
                        source.crs.name(), 100 * scale.worst_error())};
}

/// "understates areas here by 3.2 %": what would happen if grid figures were taken as they are.
std::string misstatement(const Crs& crs, const MapScale& scale)
{
    const double unit_m = crs.srs().GetLinearUnits(nullptr);
    const double areal = std::sqrt(scale.smallest_areal * scale.largest_areal) * unit_m * unit_m;
    if (areal > 1.5)
        return fmt::format("overstates areas here {:.4g} times", areal);
    if (percent(areal) < 0.01)
        return fmt::format("is off in distances here by up to {:.2f}%",
                           100 * std::max(std::abs(scale.smallest * unit_m - 1),
                                          std::abs(scale.largest * unit_m - 1)));
    return fmt::format("{} areas here by {:.2f}%", areal < 1 ? "understates" : "overstates",
                       percent(areal));
}

std::string units_of(const Crs& crs)
{
    const char* name = nullptr;
    const double unit_m = crs.srs().GetLinearUnits(&name);
    return unit_m == 1 || !name ? "metres" : name;
}

AnalysisPlan by_scale(const SourceGrid& source, const Grid& grid, const MapScale& scale)
{
    return {
        {grid, source.crs, GroundScale{source.crs, axes_of(grid)}},
        GroundRule::scaled,
        source,
        scale,
        fmt::format("{} {}: ring distances and areas are scaled to true ground distance at each "
                    "structure ({:.8g} to {:.8g} {} of the grid per metre; distances are then "
                    "within {:.3f}%)",
                    source.crs.name(), misstatement(source.crs, scale), scale.smallest,
                    scale.largest, units_of(source.crs), 100 * scale.error_if_scaled())};
}

/// Why a grid can neither stand nor be scaled.
std::string why_warped(const SourceGrid& source, const MapScale& scale)
{
    if (source.crs.srs().IsGeographic())
        return fmt::format("the raster is in degrees ({}), which are not metres",
                           source.crs.name());
    if (is_sheared(source))
        return "the raster's columns and rows are not at right angles (sheared grid)";
    return fmt::format("distances in {} differ by direction here ({:.6g} to {:.6g} {} of the grid "
                       "a metre)",
                       source.crs.name(), scale.smallest, scale.largest, units_of(source.crs));
}

/// A place on the datum of a CRS, in degrees rounded so that they can be written in a name.
Point rounded_degrees(const Crs& crs, const Crs& geographic, Point place)
{
    if (!Reprojection{crs, geographic}.apply(place))
        throw Error{Failure::input,
                    fmt::format("the study area cannot be placed in {}", crs.name())};
    const double to_degrees = geographic.srs().GetAngularUnits(nullptr) * 180 / std::acos(-1.0);
    const auto rounded = [&](double v) { return std::round(v * to_degrees * 1e4) / 1e4; };
    return {rounded(place.x), rounded(place.y)};
}

Crs local_mercator(const Crs& crs, Point middle)
{
    const Crs geographic = crs.geographic();
    const Point at = rounded_degrees(crs, geographic, middle);
    OGRSpatialReference srs;
    srs.SetProjCS(fmt::format("local transverse Mercator at {:.4f} {}, {:.4f} {}", std::abs(at.y),
                              at.y < 0 ? "S" : "N", std::abs(at.x), at.x < 0 ? "W" : "E")
                      .c_str());
    srs.CopyGeogCSFrom(&geographic.srs());
    srs.SetTM(at.y, at.x, 1, 0, 0);
    return Crs::from_srs(srs);
}

/// The box in another CRS: of a lattice of its points, which is close enough for a margin of cells.
Box reprojected(const Box& box, const Crs& from, const Crs& to)
{
    std::vector<Point> points = lattice_in(box, 32);
    if (!Reprojection{from, to}.apply(points))
        throw Error{Failure::input, fmt::format("the structures spread beyond what one local grid "
                                                "can show (from {})",
                                                from.name())};
    Box extent = Box::nothing();
    for (const Point p : points)
        extent.take_in(p);
    return extent;
}

/// How a warped grid is laid out: the size of its cells, and the middle of one of them.
struct Layout {
    double width_m = 0;
    double height_m = 0;
    Point middle;
};

/// Cells of the ground size of the source's. Where these lie along parallels and meridians the new
/// ones lie on top of them, so that next to nothing is resampled; else they are square.
Layout layout_of(const SourceGrid& source, const Crs& crs, Point middle)
{
    const auto& g = source.geotransform;
    const ScaleAtPlace scale = ScaleMeter{source.crs}.at(middle);
    const double side_m = std::sqrt(std::abs(determinant_of(g)) / scale.areal);
    Layout layout{side_m, side_m, {}};
    if (source.crs.srs().IsGeographic() && g[2] == 0 && g[4] == 0) {
        layout.width_m = std::abs(g[1]) / scale.along_axes.x;
        layout.height_m = std::abs(g[5]) / scale.along_axes.y;
    }
    const Point cell = cell_of(g, middle);
    layout.middle = map_of(g, {std::floor(cell.x) + 0.5, std::floor(cell.y) + 0.5});
    if (!Reprojection{source.crs, crs}.apply(layout.middle))
        throw Error{Failure::input,
                    fmt::format("the study area cannot be placed in {}", source.crs.name())};
    return layout;
}

/// Cells around `area` and `margin_m` beyond it, and two more.
Grid warped_grid(const Box& area, double margin_m, const Layout& layout)
{
    const Point corner =
        layout.middle - Point{0.5 * layout.width_m, 0.5 * layout.height_m}; // of the middle cell
    // Whole cells from the middle one: so the grid lies on the source's cells there, wherever its
    // edges are.
    const double left = std::floor((area.min.x - margin_m - corner.x) / layout.width_m) - 2;
    const double bottom = std::floor((area.min.y - margin_m - corner.y) / layout.height_m) - 2;
    const double cols = std::ceil((area.max.x + margin_m - corner.x) / layout.width_m) + 2 - left;
    const double rows =
        std::ceil((area.max.y + margin_m - corner.y) / layout.height_m) + 2 - bottom;
    if (!(cols * rows <= most_grid_cells) || std::max(cols, rows) > most_cells_along)
        throw Error{Failure::input,
                    fmt::format("the structures spread over {:.0f} x {:.0f} km: too far to warp "
                                "the raster in cells of {:.4g} x {:.4g} m",
                                cols * layout.width_m / 1000, rows * layout.height_m / 1000,
                                layout.width_m, layout.height_m),
                    {},
                    "select one community with inputs.structures.where"};
    return {{corner.x + left * layout.width_m, layout.width_m, 0,
             corner.y + (bottom + rows) * layout.height_m, 0, -layout.height_m},
            static_cast<std::int64_t>(cols),
            static_cast<std::int64_t>(rows)};
}

AnalysisPlan by_warp(const SourceGrid& source, const Box& area, const StudyArea& study)
{
    const Point middle = area.centre();
    const Crs crs = local_mercator(source.crs, middle);
    const Layout layout = layout_of(source, crs, middle);
    const Grid grid = warped_grid(reprojected(area, source.crs, crs), 1.01 * study.reach_m, layout);
    const Point far = grid.corner(grid.cols(), grid.rows());
    const Point near = grid.corner(0, 0);
    const MapScale left = map_scale(crs, {{near.x, far.y}, {far.x, near.y}}, axes_of(grid));
    const MapScale scale = map_scale(source.crs, area);
    const bool true_enough = left.worst_error() <= largest_scale_error;
    return {{grid, crs, true_enough ? GroundScale{} : GroundScale{crs, axes_of(grid)}},
            GroundRule::warped,
            source,
            scale,
            fmt::format("{}: warped by nearest neighbour to cells of {:.4g} x {:.4g} m in {} ({})",
                        why_warped(source, scale), grid.cell_width_m(), grid.cell_height_m(),
                        crs.name(),
                        true_enough ? fmt::format("distances there are at most {:.4f}% off true "
                                                  "ground distance",
                                                  100 * left.worst_error())
                                    : "scaled at each structure")};
}

} // namespace

const char* name_of(GroundRule rule)
{
    return std::array{"grid_stands", "scaled", "warped"}.at(static_cast<std::size_t>(rule));
}

namespace {

AnalysisPlan plan_on_ground(const SourceGrid& source, const Box& raster, const StudyArea& study,
                            const GeoArea& where)
{
    const bool sheared = is_sheared(source);
    std::optional<Grid> grid;
    if (!sheared)
        grid = grid_of(source);
    const bool may_stand = grid && source.crs.srs().IsProjected();
    if (may_stand)
        if (const auto scale = scale_if_on_ground(source.crs, raster, axes_of(*grid));
            scale && scale->worst_error() <= largest_scale_error)
            return as_it_stands(source, *grid, *scale);
    const Box area = study.structures ? study.structures(source.crs, raster, where) : raster;
    if (may_stand) {
        const MapScale scale = map_scale(source.crs, area, axes_of(*grid));
        if (scale.worst_error() <= largest_scale_error)
            return as_it_stands(source, *grid, scale);
        if (scale.error_if_scaled() <= largest_scale_error)
            return by_scale(source, *grid, scale);
    }
    return by_warp(source, area, study);
}

/// The degrees of a box: of a lattice of its places, those that are on the ground.
std::optional<GeoArea> degrees_of(const Crs& crs, const Box& box)
{
    const RoughDegrees degrees{crs};
    std::vector<Point> places;
    for (Point p : lattice_in(box, 8))
        if (degrees.to_degrees(p))
            places.push_back(p);
    return places.empty() ? std::nullopt : std::optional{area_around(places)};
}

} // namespace

AnalysisPlan plan_analysis(const SourceGrid& source, const StudyArea& study)
{
    if (!source.crs.srs().IsProjected() && !source.crs.srs().IsGeographic())
        throw Error{Failure::input,
                    source.crs.name() + " is not a map grid",
                    {},
                    "warp the raster to a projected CRS with gdalwarp -r near -t_srs EPSG:..."};
    const Box raster = box_of(source.geotransform, static_cast<double>(source.cols),
                              static_cast<double>(source.rows));
    const std::optional<GeoArea> area =
        study.area ? study.area(source.crs, raster) : degrees_of(source.crs, raster);
    AnalysisPlan plan = plan_on_ground(source, raster, study, area.value_or(GeoArea{}));
    plan.analysis.area = area;
    return plan;
}

AnalysisPlan plan_analysis(const SourceGrid& source, const StudyArea& study,
                           const std::string& path)
{
    try {
        return plan_analysis(source, study);
    } catch (const Error& e) {
        if (!e.where().empty()) // the structures are to blame
            throw;
        throw Error{Failure::input, e.what(), path, e.remedy()};
    }
}

} // namespace fuelring
