// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "exposure/ranking.hpp"
#include "io/community/community_in.hpp"
#include "io/community/corrections_in.hpp"
#include "io/raster/fuel_raster.hpp"

#include <nlohmann/json_fwd.hpp>

#include <array>
#include <string>
#include <vector>

namespace fuelring {

/// What visits found, as a run took it.
struct FieldChecks {
    /// A row that changed nothing: it can be retired, or is mistaken.
    struct Idle {
        Correction row; ///< without its shape
        std::string why;
    };
    std::vector<Correction> rows; ///< until they were applied
    std::array<std::int64_t, correction_kinds.size()> rows_of_kind{};
    std::int64_t cells_changed = 0;
    std::int64_t structures_left_out = 0;
    std::int64_t addresses_left_out = 0;
    std::vector<Idle> idle;
};

/// The classes that corrected cells are of; they are added to the table. Call once.
void add_corrected_classes(FuelClassTable& classes);

/// Ids of the structures that the rows say are gone.
GoneStructures gone_of(const FieldChecks& checks);

/// Sets what the raster's readers put in place of its cells, and what the rows did.
/// A cell is corrected where its centre lies in a row's polygon, or a row's point in the cell; of
/// several rows about a cell the last one holds. Throws: Error{input} for more cells than any
/// visit could mean, and when a block cannot be read.
void apply_field_checks(FieldChecks& checks, const std::string& path, FuelRaster& raster,
                        const Community& community, const GoneStructures& gone);

/// A warning of the rows that changed nothing, where there are any.
void warn_of_idle_rows(const FieldChecks& checks, Warnings& warnings);
/// "field checks: 4 rows (...): 120 cells corrected, ..."
void say_field_checks(const FieldChecks& checks, Log& log);
/// `corrections` of run.json. `digest`: of the file; null where it is no local one.
nlohmann::json field_checks_json(const FieldChecks& checks, const nlohmann::json& digest);

/// Sets Flag::field_checked where a corrected cell lies within the widest ring's distance.
void flag_field_checked(const FuelRaster& raster, const Community& community, double widest_m,
                        std::vector<StructureResult>& results);

} // namespace fuelring
