// SPDX-License-Identifier: Apache-2.0

// Places and lengths in coordinate systems, by GDAL and geodesics, apart from what is tested.
#pragma once

#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <geodesic.h>
#include <nlohmann/json.hpp>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>
#include <string>
#include <vector>

namespace fuelring::test {

struct Place {
    double x, y;
};

inline OGRSpatialReference system_of(int epsg)
{
    OGRSpatialReference srs;
    REQUIRE(srs.importFromEPSG(epsg) == OGRERR_NONE);
    srs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return srs;
}

using Way = std::unique_ptr<OGRCoordinateTransformation>;

inline Way way_between(const OGRSpatialReference& from, const OGRSpatialReference& to)
{
    Way way{OGRCreateCoordinateTransformation(&from, &to)};
    REQUIRE(way);
    return way;
}

inline Place moved(const Way& way, Place p)
{
    REQUIRE(way->Transform(1, &p.x, &p.y));
    return p;
}

/// Lengths on the ellipsoid of a CRS between places of it.
class Geodesics {
public:
    explicit Geodesics(const OGRSpatialReference& srs)
        : geographic_{srs.CloneGeogCS()}, unit_deg_{geographic_->GetAngularUnits(nullptr) * 180 /
                                                    std::numbers::pi}
    {
        geographic_->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        to_geographic_ = way_between(srs, *geographic_);
        geod_init(&ellipsoid_, srs.GetSemiMajor(), 1 / srs.GetInvFlattening());
    }

    double length_m(Place a, Place b) const
    {
        const Place p = moved(to_geographic_, a);
        const Place q = moved(to_geographic_, b);
        double length = 0;
        geod_inverse(&ellipsoid_, p.y * unit_deg_, p.x * unit_deg_, q.y * unit_deg_,
                     q.x * unit_deg_, &length, nullptr, nullptr);
        return length;
    }

private:
    std::unique_ptr<OGRSpatialReference> geographic_;
    Way to_geographic_;
    geod_geodesic ellipsoid_{};
    double unit_deg_;
};

/// A house turned by 25 degrees, about 22 m by 14 m.
inline std::vector<Place> house_at(Place at, double unit_m)
{
    const double c = std::cos(25 * std::numbers::pi / 180) / unit_m;
    const double s = std::sin(25 * std::numbers::pi / 180) / unit_m;
    std::vector<Place> corners;
    for (const auto& [u, v] : {std::pair{-11.0, -7.0}, {11.0, -7.0}, {11.0, 7.0}, {-11.0, 7.0}})
        corners.push_back({at.x + u * c - v * s, at.y + u * s + v * c});
    return corners;
}

inline std::string wkt_of(std::vector<Place> corners)
{
    corners.push_back(corners.front());
    std::string text;
    for (const Place p : corners)
        text += fmt::format("{}{:.17g} {:.17g}", text.empty() ? "" : ", ", p.x, p.y);
    return "POLYGON ((" + text + "))";
}

struct GridRun {
    ProgramResult result;
    nlohmann::json manifest;
    std::vector<SqlRow> structures;
};

inline GridRun run_map(const fs::path& folder,
                       const std::map<std::string, std::string>& inputs = {})
{
    ConfigFile config = hamlet_config(folder);
    config.tables.erase("inputs.addresses");
    for (const auto& [key, value] : inputs)
        config("inputs", key) = value;
    config.write(folder / "map.toml");
    GridRun run;
    run.result = run_fuelring({"map", folder / "map.toml", "--out", folder / "out", "--verbose"});
    if (run.result.exit_code != 0)
        return run;
    run.manifest = nlohmann::json::parse(text_of(folder / "out/run.json"));
    run.structures = sql(folder / "out/fuelring.gpkg",
                         R"(select structure_id, x, y, lon, lat, "ring_m2_0_1.5m",
                            "ring_m2_1.5_10m", ring_m2_10_30m, ring_m2_30_100m
                            from structures order by structure_id)");
    return run;
}

inline std::vector<std::string> warnings_of(const GridRun& run)
{
    std::vector<std::string> keys;
    for (const auto& warning : run.manifest.at("warnings"))
        keys.push_back(warning.at("key"));
    return keys;
}

inline bool holds(const std::vector<std::string>& list, const std::string& text)
{
    return std::find(list.begin(), list.end(), text) != list.end();
}

inline std::size_t count_of(const std::string& text, const std::string& part)
{
    std::size_t found = 0;
    for (std::size_t at = text.find(part); at != text.npos; at = text.find(part, at + 1))
        ++found;
    return found;
}

} // namespace fuelring::test
