// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/tables/tables_out.hpp"

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// One column of the address table, in addresses.csv and in fuelring.gpkg.
struct TableColumn {
    enum class Kind {
        address,       ///< text; the only column that is the address's and not the structure's
        structure_id,  ///< text
        neighbourhood, ///< text
        flags,         ///< text
        owner,         ///< text; class of the owner of the structure's own parcel
        integer,
        real,
    };
    std::string name;
    Kind kind = Kind::real;
    int decimals = 0; ///< in the CSV; the GeoPackage carries full doubles

    bool is_text() const { return kind < Kind::integer; }
};

/// Decimals of the CSV (src/manual/outputs.md).
inline constexpr int decimals_of_metres = 3; ///< areas, distances, coordinates
inline constexpr int decimals_of_fractions = 6;
inline constexpr int decimals_of_exposure = 4;
inline constexpr int decimals_of_degrees = 8; ///< longitude and latitude
inline constexpr int decimals_of_slopes = 3;  ///< per cent, degrees of aspect, factors

inline constexpr int decimals_of_hectares = 4;

/// Square metres as hectares; what rounding left below 0 is 0.
double hectares(double m2);

/// The columns in their order (DESIGN 7), ring labels made from the plan. Those of inputs that are
/// optional come after `flags`, and only where the input is there.
std::vector<TableColumn> address_columns(const RunTables& tables);

/// The numbers of a structure in the order of the columns, NaN where there is nothing to say and
/// at the places of texts. Figures of ground that counts as unmapped are unknown, not 0.
void structure_numbers(const RunTables& tables, std::size_t structure,
                       std::vector<double>& numbers);

/// The text of a text column; empty where there is none.
std::string column_text(const RunTables& tables, const AddressRow& row, TableColumn::Kind kind);

} // namespace fuelring
