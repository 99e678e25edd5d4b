// SPDX-License-Identifier: Apache-2.0

// Small runs to report, without files.
#pragma once

#include "report/run_picture.hpp"

#include <cmath>
#include <string>
#include <utility>
#include <vector>

namespace fuelring::test {

/// A building of a picture: its neighbourhood (empty: outside) and its exposure (NaN: unknown).
struct Home {
    std::string neighbourhood;
    double exposure = 0;
};

inline PictureColumn numbers(std::string name, std::vector<double> cells)
{
    return {std::move(name), PictureColumn::Kind::real, std::move(cells), {}};
}
inline PictureColumn texts(std::string name, std::vector<std::string> cells)
{
    return {std::move(name), PictureColumn::Kind::text, {}, std::move(cells)};
}

/// A row of the neighbourhood table over some homes.
struct Row {
    std::string name;
    double structures = 0;
    double measured = 0;
    double near = 0;
    double mean = std::nan("");
};

inline Row row_of(const std::string& name, const std::vector<Home>& homes)
{
    Row row{name};
    double points = 0;
    for (const Home& home : homes)
        if (name == community_row || home.neighbourhood == name ||
            (name == outside_row && home.neighbourhood.empty())) {
            row.structures += 1;
            row.near += home.exposure > 10 ? 1 : 0;
            points += std::isnan(home.exposure) ? 0 : home.exposure;
            row.measured += std::isnan(home.exposure) ? 0 : 1;
        }
    if (row.measured > 0)
        row.mean = points / row.measured;
    return row;
}

/// A picture with these homes, in rows of these neighbourhoods, (outside) and (community).
inline RunPicture picture_of(std::vector<std::string> neighbourhoods,
                             const std::vector<Home>& homes)
{
    RunPicture picture;
    picture.manifest = {{"community", "Fern Hollow"}};
    picture.community = "Fern Hollow";
    picture.near_m = 10;
    neighbourhoods.emplace_back(outside_row);
    neighbourhoods.emplace_back(community_row);
    std::vector<std::vector<double>> columns(4); // structures, measured, near, mean
    for (const std::string& name : neighbourhoods) {
        const Row row = row_of(name, homes);
        columns[0].push_back(row.structures);
        columns[1].push_back(row.measured);
        columns[2].push_back(row.near);
        columns[3].push_back(row.mean);
    }
    picture.neighbourhoods.table = {
        {texts("neighbourhood", neighbourhoods), numbers("structures", columns[0]),
         numbers("structures_measured", columns[1]),
         numbers("structures_known_within_10m", columns[1]),
         numbers("structures_conifer_within_10m", columns[2]), numbers("mean_exposure", columns[3]),
         numbers("p90_exposure", columns[3])},
        neighbourhoods.size()};
    picture.neighbourhoods.shapes.resize(neighbourhoods.size());
    std::vector<std::string> ids, places;
    std::vector<double> exposures;
    for (const Home& home : homes) {
        ids.push_back("H" + std::to_string(ids.size()));
        places.push_back(home.neighbourhood);
        exposures.push_back(home.exposure);
    }
    picture.structures.table = {{texts("structure_id", ids), texts("neighbourhood", places),
                                 texts("flags", std::vector<std::string>(homes.size())),
                                 numbers("exposure", exposures)},
                                homes.size()};
    picture.structures.shapes.resize(homes.size());
    picture.addresses = {{texts("address", ids), texts("structure_id", ids)}, homes.size()};
    for (std::size_t i = 0; i < homes.size(); ++i)
        picture.structure_of_address.push_back(i);
    return picture;
}

inline void add(std::vector<Home>& homes, int n, const std::string& neighbourhood, double exposure)
{
    for (int k = 0; k < n; ++k)
        homes.push_back({neighbourhood, exposure + k});
}

} // namespace fuelring::test
