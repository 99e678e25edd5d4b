// SPDX-License-Identifier: Apache-2.0

// The layers of fuelring.gpkg. They are made of the same columns as the CSV files, with full
// doubles, since later runs read their results here: comparisons, plans and reports.
#include "base/program/run_names.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/geopackage/gpkg_file.hpp"
#include "io/tables/address_table.hpp"
#include "io/tables/neighbourhood_table.hpp"
#include "io/tables/ring_outlines_layer.hpp"

namespace fuelring {

namespace {

void add_structures(GpkgFile& file, const RunTables& tables)
{
    std::vector<Column<Home>> columns = address_columns(RunLabels{tables});
    std::erase_if(columns,
                  [](const auto& column) { return column.name == columns_of_run::address; });
    const std::vector<Structure>& all = tables.community.structures;
    add_layer(
        file, layers_of_run::structures, GpkgFile::Shape::multipolygon, columns, all.size(),
        [&tables](std::size_t k) {
            return Home{tables, {k, {}}};
        },
        [&](std::size_t k) {
            return wkb_multipolygon(all[k].footprint, all[k].frame,
                                    tables.grid.at_scale(all[k].map_scale));
        });
}

void add_addresses(GpkgFile& file, const RunTables& tables)
{
    const auto home = [&tables](std::size_t k) { return Home{tables, tables.rows[k]}; };
    add_layer(file, layers_of_run::addresses, GpkgFile::Shape::point,
              address_columns(RunLabels{tables}), tables.rows.size(), home, [&](std::size_t k) {
                  const auto& address = tables.rows[k].address;
                  return wkb_point(address ? tables.community.addresses[*address].at
                                           : home(k).structure().inside);
              });
}

void add_neighbourhoods(GpkgFile& file, const RunTables& tables)
{
    const std::vector<Neighbourhood> rows = neighbourhoods_of(tables);
    add_layer(
        file, layers_of_run::neighbourhoods, GpkgFile::Shape::multipolygon,
        neighbourhood_columns(RunLabels{tables}), rows.size(),
        [&rows](std::size_t k) -> const Neighbourhood& { return rows[k]; },
        [&](std::size_t k) {
            const auto& in = rows[k].neighbourhood;
            if (!in || tables.community.neighbourhood_areas[*in].loops.empty())
                return std::string{};
            return wkb_multipolygon(tables.community.neighbourhood_areas[*in], {}, tables.grid);
        });
}

/// A parcel in units of the grid, from the corner of cell (0, 0).
Footprint outline_of_parcel(const ParcelShape& shape)
{
    std::vector<RawLoop> loops;
    for (const LatticeLoop& points : shape) {
        RawLoop& loop = loops.emplace_back();
        for (const LatticePoint p : points)
            loop.vertices.push_back(from_lattice(p));
        loop.hole = area_m2(Footprint{{loop.vertices}}) < 0;
    }
    return normalised(loops);
}

/// What later comparisons need to split their areas by owner; classes only, no names.
void add_parcels(GpkgFile& file, const RunTables& tables)
{
    const Ownership& owners = tables.community.owners.value();
    file.begin_layer(layers_of_run::parcels, GpkgFile::Shape::multipolygon,
                     {{"owner", GpkgField::Type::text, "Owner"}});
    for (std::size_t k = 0; k < owners.shapes.size(); ++k)
        if (const Footprint outline = outline_of_parcel(owners.shapes[k]); !outline.loops.empty())
            file.add_row({owners.classes[static_cast<std::size_t>(owners.class_of[k])]},
                         wkb_multipolygon(outline, {}, tables.grid));
}

} // namespace

void write_geopackage(const std::filesystem::path& path, const RunTables& tables,
                      bool with_ring_outlines, std::function<void(std::int64_t rows)> on_rows)
{
    GpkgFile file{path, tables.crs, caution, std::move(on_rows)};
    add_structures(file, tables);
    add_addresses(file, tables);
    add_neighbourhoods(file, tables);
    if (tables.community.owners)
        add_parcels(file, tables);
    if (with_ring_outlines)
        add_ring_outlines(file, tables);
    file.finish();
}

} // namespace fuelring
