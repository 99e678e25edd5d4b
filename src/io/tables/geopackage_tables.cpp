// SPDX-License-Identifier: Apache-2.0
#include "io/geopackage/footprint_wkb.hpp"
#include "io/geopackage/gpkg_file.hpp"
#include "io/tables/neighbourhood_columns.hpp"
#include "io/tables/ring_outlines_layer.hpp"
#include "io/tables/table_columns.hpp"

#include <cmath>

namespace fuelring {

namespace {

using ColumnKind = TableColumn::Kind;

std::vector<GpkgField> fields_of(const std::vector<TableColumn>& columns)
{
    std::vector<GpkgField> fields;
    for (const TableColumn& column : columns) {
        const auto type = column.is_text()                     ? GpkgField::Type::text
                          : column.kind == ColumnKind::integer ? GpkgField::Type::integer
                                                               : GpkgField::Type::real;
        fields.push_back({column.name, type});
    }
    return fields;
}

GpkgValue number_or_null(double number, ColumnKind kind)
{
    if (!std::isfinite(number))
        return {};
    return kind == ColumnKind::integer ? GpkgValue{static_cast<std::int64_t>(number)}
                                       : GpkgValue{number};
}

/// Turns rows of the tables into values of some of their columns.
class RowMaker {
public:
    RowMaker(const RunTables& tables, bool with_address) : tables_(tables)
    {
        const std::vector<TableColumn> all = address_columns(tables);
        for (std::size_t k = 0; k < all.size(); ++k) {
            if (all[k].kind == ColumnKind::address && !with_address)
                continue;
            columns_.push_back(all[k]);
            place_.push_back(k);
        }
    }

    const std::vector<TableColumn>& columns() const { return columns_; }
    const std::vector<GpkgValue>& values(const AddressRow& row)
    {
        structure_numbers(tables_, row.structure, numbers_);
        values_.clear();
        for (std::size_t k = 0; k < columns_.size(); ++k) {
            const ColumnKind kind = columns_[k].kind;
            values_.push_back(columns_[k].is_text() ? text_or_null(column_text(tables_, row, kind))
                                                    : number_or_null(numbers_[place_[k]], kind));
        }
        return values_;
    }

private:
    const RunTables& tables_;
    std::vector<TableColumn> columns_;
    std::vector<std::size_t> place_; ///< of each column in the address table
    std::vector<double> numbers_;
    std::vector<GpkgValue> values_;
};

void add_structures(GpkgFile& file, const RunTables& tables)
{
    RowMaker maker{tables, false};
    file.begin_layer("structures", GpkgFile::Shape::multipolygon, fields_of(maker.columns()));
    for (std::size_t k = 0; k < tables.community.structures.size(); ++k) {
        const Structure& s = tables.community.structures[k];
        file.add_row(maker.values({k, {}}),
                     wkb_multipolygon(s.footprint, s.frame, tables.grid.at_scale(s.map_scale)));
    }
}

void add_addresses(GpkgFile& file, const RunTables& tables)
{
    RowMaker maker{tables, true};
    file.begin_layer("addresses", GpkgFile::Shape::point, fields_of(maker.columns()));
    for (const AddressRow& row : tables.rows) {
        const Point at = row.address ? tables.community.addresses[*row.address].at
                                     : tables.community.structures[row.structure].inside;
        file.add_row(maker.values(row), wkb_point(at));
    }
}

void add_neighbourhoods(GpkgFile& file, const RunTables& tables)
{
    std::vector<GpkgField> fields;
    const std::vector<NeighbourhoodColumn> columns = neighbourhood_columns(tables);
    for (const NeighbourhoodColumn& column : columns)
        fields.push_back({column.name, column.kind == NeighbourhoodColumn::Kind::name
                                           ? GpkgField::Type::text
                                       : column.kind == NeighbourhoodColumn::Kind::integer
                                           ? GpkgField::Type::integer
                                           : GpkgField::Type::real});
    file.begin_layer("neighbourhoods", GpkgFile::Shape::multipolygon, fields);
    for (std::size_t place = 0; place < tables.neighbourhoods.size(); ++place) {
        const NeighbourhoodRow& row = tables.neighbourhoods[place];
        const std::vector<double> numbers = neighbourhood_numbers(tables, place);
        std::vector<GpkgValue> values;
        for (std::size_t k = 0; k < columns.size(); ++k)
            values.push_back(
                columns[k].kind == NeighbourhoodColumn::Kind::name
                    ? GpkgValue{row.name}
                    : number_or_null(numbers[k],
                                     columns[k].kind == NeighbourhoodColumn::Kind::integer
                                         ? ColumnKind::integer
                                         : ColumnKind::real));
        std::string wkb;
        if (row.neighbourhood)
            if (const Footprint& area = tables.community.neighbourhood_areas[*row.neighbourhood];
                !area.loops.empty())
                wkb = wkb_multipolygon(area, {}, tables.grid);
        file.add_row(values, wkb);
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
