// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/community/community_in.hpp"
#include "unit/io/data_files.hpp"

#include <algorithm>
#include <string_view>

namespace fuelring::test {

/// A folder with layers of a community, and the raster they lie on: 200 x 200 cells of 1 m.
struct Town {
    TempFolder folder{};
    Grid grid{metre_cells, 200, 200};
    Crs crs = Crs::from_user_input("EPSG:32632", "test");
    CommunitySources sources{.structures = {{.path = folder / "structures.gpkg"}, "id"}};
    mutable Warnings warnings{};

    void structures(const std::vector<FeatureSpec>& features, int epsg = utm32) const
    {
        write_layer(folder / "structures.gpkg",
                    {.name = "structures", .epsg = epsg, .columns = {"id", "kind"}}, features);
    }
    void addresses(const std::vector<FeatureSpec>& features)
    {
        sources.addresses = AddressSource{{.path = folder / "addresses.gpkg"}, "text", 10};
        write_layer(folder / "addresses.gpkg", {.columns = {"text"}, .geometry = "point"},
                    features);
    }
    void neighbourhoods(const std::vector<FeatureSpec>& features)
    {
        sources.neighbourhoods =
            NeighbourhoodSource{{.path = folder / "neighbourhoods.gpkg"}, "name"};
        write_layer(folder / "neighbourhoods.gpkg", {.columns = {"name"}}, features);
    }
    Community read() const { return read_community(sources, {grid, crs}, warnings); }

    const Warning* warning(std::string_view key) const
    {
        const auto found = std::find_if(warnings.begin(), warnings.end(),
                                        [&](const Warning& w) { return w.key == key; });
        return found == warnings.end() ? nullptr : &*found;
    }
};

/// "POINT" at metres from the raster's upper left corner.
inline std::string point(double x, double y)
{
    return "POINT (" + std::to_string(raster_corner.x + x) + " " +
           std::to_string(raster_corner.y + y) + ")";
}

} // namespace fuelring::test
