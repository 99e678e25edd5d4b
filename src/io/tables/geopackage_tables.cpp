// SPDX-License-Identifier: Apache-2.0
#include "io/geopackage/footprint_wkb.hpp"
#include "io/geopackage/gpkg_file.hpp"
#include "io/tables/address_table.hpp"
#include "io/tables/neighbourhood_table.hpp"
#include "io/tables/ring_outlines_layer.hpp"

namespace fuelring {

namespace {

void add_structures(GpkgFile& file, const RunTables& tables)
{
    std::vector<Column<AddressRow>> columns = address_table(tables);
    std::erase_if(columns, [](const auto& column) { return column.name == address_column; });
    file.begin_layer("structures", GpkgFile::Shape::multipolygon, fields_of(columns));
    for (std::size_t k = 0; k < tables.community.structures.size(); ++k) {
        const Structure& s = tables.community.structures[k];
        file.add_row(values_of(columns, AddressRow{k, {}}),
                     wkb_multipolygon(s.footprint, s.frame, tables.grid.at_scale(s.map_scale)));
    }
}

void add_addresses(GpkgFile& file, const RunTables& tables)
{
    const std::vector<Column<AddressRow>> columns = address_table(tables);
    file.begin_layer("addresses", GpkgFile::Shape::point, fields_of(columns));
    for (const AddressRow& row : tables.rows) {
        const Point at = row.address ? tables.community.addresses[*row.address].at
                                     : tables.community.structures[row.structure].inside;
        file.add_row(values_of(columns, row), wkb_point(at));
    }
}

void add_neighbourhoods(GpkgFile& file, const RunTables& tables)
{
    const std::vector<Column<std::size_t>> columns = neighbourhood_table(tables);
    file.begin_layer("neighbourhoods", GpkgFile::Shape::multipolygon, fields_of(columns));
    for (std::size_t place = 0; place < tables.neighbourhoods.size(); ++place) {
        const NeighbourhoodRow& row = tables.neighbourhoods[place];
        std::string wkb;
        if (row.neighbourhood)
            if (const Footprint& area = tables.community.neighbourhood_areas[*row.neighbourhood];
                !area.loops.empty())
                wkb = wkb_multipolygon(area, {}, tables.grid);
        file.add_row(values_of(columns, place), wkb);
    }
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
    file.begin_layer("parcels", GpkgFile::Shape::multipolygon, {{"owner", GpkgField::Type::text}});
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
