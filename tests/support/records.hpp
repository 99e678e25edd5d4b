// SPDX-License-Identifier: Apache-2.0

// Layers of treated polygons.
#pragma once

#include "support/change_runs.hpp"

#include <fmt/format.h>

#include <optional>
#include <string>
#include <vector>

namespace fuelring::test {

/// A treated rectangle by corners in metres from (600000, 5600000).
struct RecordShape {
    std::string id, date, treatment;
    std::optional<double> cost;
    double x0, y0, x1, y1;
};

/// GeoJSON in UTM 11N; empty texts and costs are null.
inline void write_records(const fs::path& file, const std::vector<RecordShape>& records)
{
    const auto text = [](const std::string& t) { return t.empty() ? "null" : '"' + t + '"'; };
    std::string features;
    for (const RecordShape& r : records) {
        const auto at = [](double x, double y) {
            return fmt::format("[{:.3f},{:.3f}]", scene_x + x, scene_y + y);
        };
        features += fmt::format(
            R"({}{{"type":"Feature","properties":{{"id":{},"date":{},"treatment":{},"cost":{}}},)"
            R"("geometry":{{"type":"Polygon","coordinates":[[{},{},{},{},{}]]}}}})",
            features.empty() ? "" : ",", text(r.id), text(r.date), text(r.treatment),
            r.cost ? fmt::format("{}", *r.cost) : "null", at(r.x0, r.y0), at(r.x1, r.y0),
            at(r.x1, r.y1), at(r.x0, r.y1), at(r.x0, r.y0));
    }
    write_text(file, R"({"type":"FeatureCollection","crs":{"type":"name","properties":)"
                     R"({"name":"urn:ogc:def:crs:EPSG::32611"}},"features":[)" +
                         features + "]}");
}

} // namespace fuelring::test
