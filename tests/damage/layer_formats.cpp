// SPDX-License-Identifier: Apache-2.0
#include "damage/formats.hpp"
#include "io/community/community_in.hpp"
#include "io/comparison/treatment_records_in.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "support/make_inputs.hpp"
#include "support/temp_folder.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <memory>

namespace fuelring::test {

namespace {

using Analysis = std::shared_ptr<const AnalysisGrid>;

void append_bytes(std::string& to, double value)
{
    to.append(reinterpret_cast<const char*>(&value), sizeof value);
}

std::string figures_of(const Community& community)
{
    std::string figures;
    for (const Structure& s : community.structures) {
        figures += s.id + "\n";
        for (const Loop& loop : s.footprint.loops)
            for (const Point p : loop) {
                append_bytes(figures, p.x);
                append_bytes(figures, p.y);
            }
        append_bytes(figures, s.lon_deg);
        append_bytes(figures, s.lat_deg);
    }
    for (const Address& address : community.addresses)
        figures += address.text + "\n";
    for (const std::string& name : community.neighbourhoods)
        figures += name + "\n";
    return figures;
}

std::string read_town(const CommunitySources& sources, const AnalysisGrid& analysis)
{
    Warnings ignored;
    return figures_of(read_community(sources, analysis, ignored));
}

/// Eight houses, one of two parts, one with a courtyard, one that crosses itself.
std::vector<Shape> houses()
{
    std::vector<Shape> shapes;
    for (int k = 0; k < 5; ++k)
        shapes.push_back({fmt::format("house {}", k),
                          rectangle_wkt(600100 + 20 * k, 5600150, 600110 + 20 * k, 5600160)});
    shapes.push_back({"two", "MULTIPOLYGON (((600200 5600100, 600210 5600100, 600210 5600110, "
                             "600200 5600100)), ((600220 5600100, 600230 5600100, 600230 5600110, "
                             "600220 5600100)))"});
    shapes.push_back({"court", "POLYGON ((600100 5600050, 600130 5600050, 600130 5600080, 600100 "
                               "5600080, 600100 5600050), (600110 5600060, 600120 5600060, 600120 "
                               "5600070, 600110 5600060))"});
    shapes.push_back({"bow", "POLYGON ((600150 5600050, 600170 5600070, 600170 5600050, 600150 "
                             "5600070, 600150 5600050))"});
    return shapes;
}

/// The files below a folder of their own that `make` fills.
std::map<std::string, std::string> made(const std::string& folder,
                                        const std::function<void(const fs::path&)>& make)
{
    fs::create_directory(folder);
    make(folder);
    return bytes_below(folder);
}

Format structures(const char* driver, const char* file, const std::string& folder,
                  const Analysis& analysis, int epsg = 32611)
{
    auto files = made(folder + "/" + file, [&](const fs::path& in) {
        if (epsg == 32611)
            make_layer(in / file, driver, "id", epsg, houses());
        else
            reproject_layer(folder + "/houses.gpkg", in / file, driver, epsg);
    });
    return {driver, std::move(files), [analysis, file](const std::string& in) {
                CommunitySources sources;
                sources.structures = {{.path = in + "/" + file}, "", 1};
                return read_town(sources, *analysis);
            }};
}

} // namespace

std::vector<Format> layer_formats(const std::string& folder)
{
    const auto analysis = std::make_shared<const AnalysisGrid>(
        AnalysisGrid{Grid{hamlet_transform, hamlet_cells, hamlet_cells},
                     Crs::from_user_input("EPSG:32611", "test"),
                     {}});
    make_layer(folder + "/houses.gpkg", "GPKG", "id", 32611, houses());
    std::vector<Format> formats;
    formats.push_back(structures("GPKG", "s.gpkg", folder, analysis));
    formats.push_back(structures("ESRI Shapefile", "s.shp", folder, analysis));
    formats.push_back(structures("GeoJSON", "s.geojson", folder, analysis, 4326));
    formats.push_back(structures("GeoJSONSeq", "s.geojsonl", folder, analysis, 4326));
    formats.push_back(structures("FlatGeobuf", "s.fgb", folder, analysis));
    formats.push_back(structures("SQLite", "s.sqlite", folder, analysis));
    formats.push_back(structures("GML", "s.gml", folder, analysis));
    formats.push_back(structures("KML", "s.kml", folder, analysis, 4326));
    formats.push_back(structures("MapInfo File", "s.tab", folder, analysis));

    const std::string houses_file = folder + "/houses.gpkg";
    formats.push_back({"addresses, CSV",
                       {{"a.csv", "text,x,y\nLarch Way 2,600105,5600155\n\"Fir, 9\",600125,"
                                  "5600155\n=1+1,600145,5600158\n"}},
                       [=](const std::string& in) {
                           CommunitySources sources;
                           sources.structures = {{.path = houses_file}, "id"};
                           sources.addresses = AddressSource{
                               {.path = in + "/a.csv", .crs = "EPSG:32611"}, "text", 10};
                           return read_town(sources, *analysis);
                       }});
    formats.push_back(
        {"neighbourhoods and parcels, GPKG",
         made(folder + "/areas",
              [](const fs::path& in) {
                  make_layer(in / "n.gpkg", "GPKG", "name", 32611,
                             {{"north", rectangle_wkt(600000, 5600100, 600300, 5600300)},
                              {"south", rectangle_wkt(600000, 5600000, 600300, 5600100)}});
                  make_layer(in / "p.gpkg", "GPKG", "owner", 32611,
                             {{"private", rectangle_wkt(600000, 5600000, 600150, 5600300)},
                              {"crown", rectangle_wkt(600150, 5600000, 600300, 5600300)}});
              }),
         [=](const std::string& in) {
             CommunitySources sources;
             sources.structures = {{.path = houses_file}, "id"};
             sources.neighbourhoods = NeighbourhoodSource{{.path = in + "/n.gpkg"}, "name"};
             sources.parcels = ParcelSource{{.path = in + "/p.gpkg"}, "owner", {"private"}, 100};
             return read_town(sources, *analysis);
         }});
    formats.push_back({"treatment records, GPKG",
                       made(folder + "/records",
                            [](const fs::path& in) {
                                make_layer(in / "r.gpkg", "GPKG", "treatment", 32611, houses());
                            }),
                       [=](const std::string& in) {
                           Warnings ignored;
                           std::string figures;
                           RecordSource source;
                           source.path = in + "/r.gpkg";
                           const TreatmentRecords read =
                               read_treatment_records(source, {}, *analysis, ignored);
                           for (const TreatmentRecord& record : read.records)
                               figures += record.id + record.treatment + "\n";
                           for (const RecordGroup& group : read.groups)
                               append_bytes(figures, group.ground_m2);
                           return figures;
                       }});
    return formats;
}

} // namespace fuelring::test
