// SPDX-License-Identifier: Apache-2.0

// What is said of field checks: a warning, a line of the log, `corrections` of run.json.
#include "base/program/run_names.hpp"
#include "run/inputs/field_checks.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace fuelring {

namespace {

constexpr std::size_t most_idle_listed = 1000;

} // namespace

void warn_of_idle_rows(const FieldChecks& checks, Warnings& warnings)
{
    if (checks.idle.empty())
        return;
    Warning warning{"corrections_idle", "", static_cast<std::int64_t>(checks.idle.size()), {}};
    warning.text = checks.idle.size() == 1
                       ? "1 row of inputs.corrections changes nothing any more"
                       : fmt::format("{} rows of inputs.corrections change nothing any more",
                                     checks.idle.size());
    for (const FieldChecks::Idle& idle : checks.idle)
        if (warning.examples.size() < 5)
            warning.examples.push_back(fmt::format("feature {} ({}: {})", idle.row.feature,
                                                   name_of(idle.row.kind), idle.why));
    warnings.push_back(std::move(warning));
}

void say_field_checks(const FieldChecks& checks, Log& log)
{
    std::string kinds;
    for (std::size_t k = 0; k < correction_kinds.size(); ++k)
        if (checks.rows_of_kind[k] > 0)
            kinds += fmt::format("{}{} {}", kinds.empty() ? "" : ", ", checks.rows_of_kind[k],
                                 correction_kinds[k]);
    const auto count = [](std::int64_t n, const char* one, const char* many) {
        return fmt::format("{} {}", n, n == 1 ? one : many);
    };
    log.detail(fmt::format("field checks: {}; {} corrected, {} and {} left out",
                           kinds.empty() ? "no rows" : kinds,
                           count(checks.cells_changed, "cell", "cells"),
                           count(checks.structures_left_out, "structure", "structures"),
                           count(checks.addresses_left_out, "address", "addresses")));
}

nlohmann::json field_checks_json(const FieldChecks& checks, const nlohmann::json& digest)
{
    nlohmann::json kinds = nlohmann::json::object();
    for (std::size_t k = 0; k < correction_kinds.size(); ++k)
        kinds[std::string{correction_kinds[k]}] = checks.rows_of_kind[k];
    nlohmann::json idle = nlohmann::json::array();
    for (const FieldChecks::Idle& row : checks.idle)
        if (idle.size() < most_idle_listed)
            idle.push_back({{"feature", row.row.feature},
                            {"kind", name_of(row.row.kind)},
                            {columns_of_run::structure_id, row.row.structure_id},
                            {"date", row.row.date},
                            {"initials", row.row.initials},
                            {"why", row.why}});
    return {{"rows", kinds},
            {"cells_changed", checks.cells_changed},
            {"structures_left_out", checks.structures_left_out},
            {"addresses_left_out", checks.addresses_left_out},
            {"idle_rows", checks.idle.size()},
            {"idle", idle},
            {"sha256", digest}};
}

} // namespace fuelring
