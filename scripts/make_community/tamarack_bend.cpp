// SPDX-License-Identifier: Apache-2.0
#include "tamarack_bend.hpp"

#include "photograph.hpp"
#include "tools/write.hpp"
#include "town_plan.hpp"
#include "valley.hpp"

namespace community {
namespace {

constexpr std::uint64_t town_seed = 20260523;
constexpr double height_cell_m = 5;

void write_areas(const std::filesystem::path& file, const char* layer, const char* column,
                 const std::vector<Named>& areas)
{
    LayerFile out{file, layer, LayerFile::Kind::polygons, {column}};
    for (const Named& area : areas)
        out.add({area.name}, std::vector<Polygon>{area.area});
    out.finish();
}

void write_vectors(const Community& made, const std::filesystem::path& folder)
{
    LayerFile structures{folder / "structures.gpkg",
                         "structures",
                         LayerFile::Kind::polygons,
                         {"structure_id", "kind", "roof"}};
    for (const Structure& s : made.structures)
        structures.add({s.id, s.kind, s.roof}, s.parts);
    structures.finish();
    LayerFile addresses{folder / "addresses.gpkg", "addresses", LayerFile::Kind::points, {"text"}};
    for (const Address& a : made.addresses)
        addresses.add({a.text}, a.place);
    addresses.finish();
    LayerFile parcels{folder / "parcels.gpkg", "parcels", LayerFile::Kind::polygons, {"owner"}};
    for (const Parcel& p : made.parcels)
        parcels.add({p.owner}, std::vector<Polygon>{p.area});
    parcels.finish();
    write_areas(folder / "neighbourhoods.gpkg", "neighbourhoods", "name", made.neighbourhoods);
    write_areas(folder / "treated_strips.gpkg", "treated_strips", "name", made.treated_strips);
    LayerFile projects{folder / "projects.gpkg",
                       "projects",
                       LayerFile::Kind::polygons,
                       {"project", "leaves", "cost", "year"},
                       {"leaves", "cost"}};
    for (const Project& p : made.projects)
        projects.add({p.name, p.leaves, p.cost, p.year}, std::vector<Polygon>{p.area});
    projects.finish();
}

Canvas write_fuel(const std::filesystem::path& file, const Valley& valley, const Community& made,
                  Epoch epoch)
{
    Canvas canvas{0, tamarack_height_m, 1, tamarack_width_m, tamarack_height_m};
    valley.cover(epoch, canvas);
    paint_all(made.paints, epoch, canvas);
    FuelFile out{file, canvas.cols, canvas.rows, 1, 9};
    out.write(canvas);
    out.finish();
    return canvas;
}

void write_heights(const std::filesystem::path& file, const Valley& valley)
{
    const int cols = static_cast<int>(tamarack_width_m / height_cell_m);
    const int rows = static_cast<int>(tamarack_height_m / height_cell_m);
    const Canvas grid{0, tamarack_height_m, height_cell_m, cols, rows};
    std::vector<float> heights_m;
    for (int row = 0; row < rows; ++row)
        for (int col = 0; col < cols; ++col)
            heights_m.push_back(static_cast<float>(valley.elevation_m(grid.center(row, col))));
    write_elevation(file, cols, rows, height_cell_m, std::move(heights_m));
}

} // namespace

Community plan_tamarack_bend()
{
    Town town{town_seed};
    settle(town);
    add_landmarks(town);
    draw_boundaries(town);
    return std::move(town.made);
}

void write_tamarack_bend(const std::filesystem::path& folder)
{
    const Valley valley{tamarack_width_m, tamarack_height_m};
    const Community made = plan_tamarack_bend();
    std::filesystem::create_directories(folder);
    write_vectors(made, folder);
    write_photographs(folder, write_fuel(folder / "fuel.tif", valley, made, Epoch::now));
    write_fuel(folder / "fuel_later.tif", valley, made, Epoch::later);
    write_heights(folder / "elevation.tif", valley);
}

} // namespace community
