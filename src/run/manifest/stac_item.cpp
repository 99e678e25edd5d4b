// SPDX-License-Identifier: Apache-2.0
#include "run/manifest/stac_item.hpp"

#include "base/caution.hpp"
#include "base/program/run_names.hpp"
#include "io/gdal/reprojection.hpp"

#include <nlohmann/json.hpp>
#include <ogr_spatialref.h>

#include <array>
#include <cctype>
#include <cmath>
#include <cstdlib>
#include <string_view>
#include <vector>

namespace fuelring {

const char* const stac_item_file = "stac_item.json";

namespace {

using nlohmann::json;

constexpr const char* projection =
    "https://stac-extensions.github.io/projection/v1.1.0/schema.json";
constexpr const char* cog_type = "image/tiff; application=geotiff; profile=cloud-optimized";
constexpr double most_digits = 1e7; ///< of degrees: a centimetre

/// Small letters and digits, and hyphens between words.
std::string slug(const std::string& name)
{
    std::string text;
    for (const char c : name)
        if (std::isalnum(static_cast<unsigned char>(c)))
            text += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
        else if (!text.empty() && text.back() != '-')
            text += '-';
    while (!text.empty() && text.back() == '-')
        text.pop_back();
    return text.empty() ? "community" : text;
}

/// The edge of the grid, counter-clockwise from its lower left corner, closed; eight steps a side.
std::vector<Point> edge_of(const Grid& grid)
{
    constexpr std::int64_t steps = 8;
    std::vector<Point> edge;
    const auto walk = [&](std::int64_t col, std::int64_t row, std::int64_t to_col,
                          std::int64_t to_row) {
        for (std::int64_t k = 0; k < steps; ++k)
            edge.push_back(
                grid.corner(col + (to_col - col) * k / steps, row + (to_row - row) * k / steps));
    };
    walk(0, grid.rows(), grid.cols(), grid.rows());
    walk(grid.cols(), grid.rows(), grid.cols(), 0);
    walk(grid.cols(), 0, 0, 0);
    walk(0, 0, 0, grid.rows());
    edge.push_back(edge.front());
    return edge;
}

double rounded_degree(double degree)
{
    return std::round(degree * most_digits) / most_digits;
}

/// "EPSG:32611" as a number, else null.
json epsg_of(const Crs& crs)
{
    const char* name = crs.srs().GetAuthorityName(nullptr);
    const char* code = crs.srs().GetAuthorityCode(nullptr);
    if (!name || !code || std::string_view{name} != "EPSG")
        return nullptr;
    return std::atoi(code);
}

/// An item without a geometry has no box.
void put_place(json& item, const AnalysisGrid& analysis)
{
    std::vector<Point> edge = edge_of(analysis.grid);
    if (!Reprojection{analysis.crs, Crs::wgs84(), analysis.area}.apply(edge))
        return;
    Box box = Box::nothing();
    json ring = json::array();
    for (Point p : edge) {
        p = {rounded_degree(p.x), rounded_degree(p.y)};
        box.take_in(p);
        ring.push_back({p.x, p.y});
    }
    item["geometry"] = {{"type", "Polygon"}, {"coordinates", json::array({ring})}};
    item["bbox"] = {box.min.x, box.min.y, box.max.x, box.max.y};
}

json asset(const char* file, const char* title, const char* about)
{
    return {{"href", std::string{"./"} + file},
            {"type", cog_type},
            {"title", title},
            {"description", about},
            {"roles", {"data"}}};
}

} // namespace

json stac_item(const std::string& community, const std::string& date, const AnalysisGrid& analysis)
{
    const Grid& grid = analysis.grid;
    const std::array<double, 6>& g = grid.geotransform();
    json item = {
        {"type", "Feature"},
        {"stac_version", "1.0.0"},
        {"stac_extensions", {projection}},
        {"id", slug(community) + "-" + date},
        {"geometry", nullptr},
        {"properties",
         {{"title", "Conifer fuel around the buildings of " + community},
          {"description", caution},
          {"datetime", nullptr},
          {"start_datetime", date + "T00:00:00Z"},
          {"end_datetime", date + "T23:59:59Z"},
          {"proj:epsg", epsg_of(analysis.crs)},
          {"proj:wkt2", analysis.crs.wkt()},
          {"proj:shape", {grid.rows(), grid.cols()}},
          {"proj:transform", {g[1], g[2], g[0], g[4], g[5], g[3], 0, 0, 1}}}},
        {"links", json::array()},
        {"assets",
         {{"priority", asset(surface_file, "Priority surface",
                             "points of exposure, summed over structures, that clearing a cell "
                             "would save")},
          {"fuel_used", asset(fuel_used_file, "Fuel as the run used it",
                              "band 1 conifer share in ten-thousandths, band 2 fuel group")}}}};
    put_place(item, analysis);
    return item;
}

} // namespace fuelring
