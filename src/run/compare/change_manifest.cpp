// SPDX-License-Identifier: Apache-2.0

// What a comparison says of itself, as figures and as a paragraph of words. The paragraph is made
// twice: the public one leaves out money, and treatment records where they are so few that they
// would tell what one owner did. The last lines of the command are read from the finished summary,
// so that they cannot say another thing than the file.
#include "base/grouped.hpp"
#include "base/program/json_values.hpp"
#include "exposure/areas.hpp"
#include "io/tables/tables_out.hpp"
#include "run/compare/change_parts.hpp"
#include "run/inputs/systems.hpp"
#include "run/manifest/manifest.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace fuelring {

namespace {

nlohmann::json counts_of(const ChangeTables& tables, const CellCounts& cells)
{
    nlohmann::json counts = nlohmann::json::object();
    const auto count = [&](auto test) {
        return std::count_if(tables.structures.begin(), tables.structures.end(), test);
    };
    for (const MatchKind kind : {MatchKind::same, MatchKind::redrawn, MatchKind::renamed,
                                 MatchKind::added, MatchKind::removed})
        counts["structures"][name_of(kind)] =
            count([kind](const StructureChange& c) { return c.match.kind == kind; });
    counts["structures"]["in_both"] =
        count([](const StructureChange& c) { return c.match.in_both(); });
    for (const Direction d :
         {Direction::fell, Direction::rose, Direction::stayed, Direction::unknown})
        counts["exposure"][name_of(d)] =
            count([d](const StructureChange& c) { return c.match.in_both() && c.direction == d; });
    counts["exposure"]["fell_by_a_point_or_more"] =
        count([](const StructureChange& c) { return c.exposure.change.value_or(0) <= -1; });
    counts["exposure"]["rose_by_a_point_or_more"] =
        count([](const StructureChange& c) { return c.exposure.change.value_or(0) >= 1; });
    const char* names[] = {"removed",    "regrown",  "unchanged",
                           "no_conifer", "unmapped", "one_run_only"};
    for (std::size_t k = 0; k < std::size(names); ++k)
        counts["cells"][names[k]] = cells[k + 1];
    return counts;
}

/// Sums over structures that have an exposure in both runs.
nlohmann::json exposure_of(const ChangeTables& tables)
{
    double before = 0;
    double after = 0;
    double by_fuel = 0;
    double otherwise = 0;
    std::int64_t structures = 0;
    for (const StructureChange& c : tables.structures) {
        if (!c.exposure.change)
            continue;
        ++structures;
        before += tables.before.figures[*c.match.before].exposure.value();
        after += tables.after.figures[*c.match.after].exposure.value();
        by_fuel += c.exposure.by_fuel.value_or(0);
        otherwise += c.exposure.by_fuel ? *c.exposure.otherwise() : *c.exposure.change;
    }
    return {{"structures", structures},
            {"sum_before", before},
            {"sum_after", after},
            {"sum_change", after - before},
            {"sum_change_by_fuel", by_fuel},
            {"sum_change_otherwise", otherwise}};
}

nlohmann::json adjusted_of(const Estimate& m2)
{
    const auto half = m2.half_width();
    return {{"ha", m2.value / m2_per_ha},
            {"ci95_ha", half ? nlohmann::json(*half / m2_per_ha) : nlohmann::json()}};
}

nlohmann::json community_of(const ChangeTables& tables)
{
    nlohmann::json rows = nlohmann::json::array();
    for (const ChangeRow& row : tables.rows) {
        if (row.scope != ChangeScope::community || !row.within)
            continue;
        nlohmann::json object = {{"within_m", tables.rings.plan.outer_m[row.distance]},
                                 {"ground_ha", row.area.ground_m2() / m2_per_ha},
                                 {"compared_ha", row.area.compared_m2 / m2_per_ha},
                                 {"removed_ha", row.area.removed_m2 / m2_per_ha},
                                 {"regrown_ha", row.area.regrown_m2 / m2_per_ha},
                                 {"unchanged_ha", row.area.unchanged_m2 / m2_per_ha},
                                 {"mapped_before_only_ha", row.area.before_only_m2 / m2_per_ha},
                                 {"mapped_after_only_ha", row.area.after_only_m2 / m2_per_ha},
                                 {"mapped_never_ha", row.area.neither_m2 / m2_per_ha},
                                 {"basis", basis_of(row, tables)}};
        if (row.adjusted)
            object["adjusted"] = {{"removed", adjusted_of(row.adjusted->removed_m2)},
                                  {"regrown", adjusted_of(row.adjusted->regrown_m2)},
                                  {"unchanged", adjusted_of(row.adjusted->unchanged_m2)}};
        rows.push_back(std::move(object));
    }
    return rows;
}

std::string date_of(const RunFolder& run)
{
    const std::string date = run.manifest.value("imagery_date", std::string{});
    return date.empty() ? "no date given" : date;
}

/// What was compared, and what else than imagery may have made the difference.
std::string compared_note(const ChangeManifestParts& parts)
{
    const std::int64_t homes =
        std::count_if(parts.tables.structures.begin(), parts.tables.structures.end(),
                      [](const StructureChange& c) { return c.match.in_both(); });
    std::string note =
        parts.causes.same_raster
            ? fmt::format(
                  "Conifer cover in two runs on the same vegetation raster (imagery: {}) was "
                  "compared around the {} buildings in both runs.",
                  date_of(parts.after), grouped(homes))
            : fmt::format(
                  "Conifer cover as mapped from imagery dated {} and {} was compared around "
                  "the {} buildings on both maps.",
                  date_of(parts.before), date_of(parts.after), grouped(homes));
    for (const std::string& cause : parts.cause_sentences)
        note += " " + cause;
    return note;
}

std::string adjusted_note(const ChangeManifestParts& parts)
{
    if (parts.reference.is_null())
        return "The areas are mapped areas, not adjusted for errors of the maps.";
    const nlohmann::json& r = parts.reference;
    const auto n = r.at("points").get<std::int64_t>();
    const auto half = r.at("overall_ci95");
    return fmt::format(
        "{} points were judged on imagery of both dates; {:.1f}%{} of the land within {:g} m is "
        "what "
        "its cell says. Adjusted areas and their 95% intervals are stratified estimates from these "
        "points{} (Olofsson et al. 2014, doi:10.1016/j.rse.2014.02.015).",
        grouped(n), 100 * r.at("overall_accuracy").get<double>(),
        half.is_null() ? std::string{} : fmt::format(" (± {:.1f})", 100 * half.get<double>()),
        r.at("within_m").get<double>(),
        r.contains("least_points_inside")
            ? fmt::format(", each from the points inside the area alone, and only where there are "
                          "at least {}",
                          r.at("least_points_inside").get<std::int64_t>())
            : std::string{});
}

std::string areas_note(const ChangeManifestParts& parts)
{
    return fmt::format(
        "Areas are in hectares{} Land near several buildings counts once, roofs are left out, and "
        "a "
        "cell counts by its share of conifers. Ground unmapped in either year is listed separately "
        "and counts neither as removed nor as unchanged. {}",
        parts.exact_cells
            ? " and exact: cells are cut where the ring boundary crosses them, and neither map was "
              "resampled."
            : ": the earlier map's cells were reprojected corner by corner and each cell of the "
              "later map was compared with the parts of them in it, by area; where a distance "
              "cuts a cell, the mix of its parts counts as even.",
        adjusted_note(parts));
}

/// Of fewer treated areas the public would learn what one owner did.
constexpr std::size_t fewest_public_records = 5;

std::string treatment_note(const ChangeManifestParts& parts, bool for_public)
{
    const TreatmentAccount* account = parts.tables.treatment;
    if (!account ||
        (for_public && account->records.groups.back().records.size() < fewest_public_records))
        return {};
    std::optional<std::string> currency;
    if (!for_public)
        currency = parts.after.manifest.at("configuration")
                       .value(nlohmann::json::json_pointer{"/report/currency"}, std::string{});
    return records_note(*account, parts.tables.rings.plan.widest_m(), parts.causes, currency) + " ";
}

/// One paragraph for whoever has to defend the figures.
std::string method_note(const ChangeManifestParts& parts, bool for_public)
{
    return fmt::format(
        "{} {} A difference between two maps is a difference of what was mapped: it does not show "
        "who treated the land, or whether anyone did. {}{}",
        compared_note(parts), areas_note(parts), treatment_note(parts, for_public), caution);
}

/// What no conifer brought about is no success.
void say_other_causes(const nlohmann::json& sums, Log& log)
{
    constexpr double least_shown_points = 0.05;
    const double otherwise = sums.at("sum_change_otherwise").get<double>();
    if (std::abs(otherwise) >= least_shown_points)
        log.info(
            fmt::format("of the difference of {:.1f} points, {:.1f} are not due to conifers: land "
                        "mapped in one year only, or different outlines, slopes or coordinate "
                        "systems (change_otherwise)",
                        sums.at("sum_change").get<double>(), otherwise));
}

} // namespace

nlohmann::json change_manifest(const ChangeManifestParts& parts)
{
    return {{"schema_version", schema_version},
            {"kind", "change"},
            {"program", program_versions()},
            {"community", parts.after.manifest.value("community", std::string{})},
            {"caution", caution},
            {"method", method_note(parts, false)},
            {"method_for_public", method_note(parts, true)},
            {"causes", causes_json(parts.causes, parts.hand)},
            {"cause_sentences", parts.cause_sentences},
            {"distances_m", parts.tables.rings.plan.outer_m},
            {"exposures_compare", parts.tables.rings.same},
            {"counts", counts_of(parts.tables, parts.cells)},
            {"exposure", exposure_of(parts.tables)},
            {"community_within", community_of(parts.tables)},
            {"matrix", parts.matrix},
            {"reference", parts.reference},
            {"treatment_records", parts.records},
            {"systems", systems_json(parts.systems)},
            {"remarks", parts.notes},
            {"provenance",
             {{"before", provenance_of(parts.before)}, {"after", provenance_of(parts.after)}}}};
}

void say_change(const nlohmann::json& summary, Log& log)
{
    const auto& widest = summary.at("community_within").back();
    const auto& counts = summary.at("counts");
    log.info(
        fmt::format("conifers within {:g} m of {} structures: {:.2f} ha removed, {:.2f} ha "
                    "regrown, {:.2f} ha unchanged; {:.2f} ha unmapped in either year ({})",
                    widest.at("within_m").get<double>(),
                    grouped(counts.at("structures").at("in_both").get<std::int64_t>()),
                    widest.at("removed_ha").get<double>(), widest.at("regrown_ha").get<double>(),
                    widest.at("unchanged_ha").get<double>(),
                    widest.at("ground_ha").get<double>() - widest.at("compared_ha").get<double>(),
                    widest.at("basis").get<std::string>()));
    const auto& e = counts.at("exposure");
    const auto number = [&e](const char* key) { return grouped(e.at(key).get<std::int64_t>()); };
    log.info(fmt::format(
        "exposure fell for {} structures ({} by a point or more), rose for {} ({}), and did not "
        "change for {}{}",
        number("fell"), number("fell_by_a_point_or_more"), number("rose"),
        number("rose_by_a_point_or_more"), number("stayed"),
        e.at("unknown").get<std::int64_t>() > 0
            ? fmt::format("; {} could not be measured in both runs", number("unknown"))
            : std::string{}));
    say_other_causes(summary.at("exposure"), log);
    if (summary.contains("sample"))
        log.info(
            fmt::format("draw {} reference points as listed in sample_points.csv; the standard "
                        "error of overall accuracy will then be about {:.4f}",
                        summary.at("sample").at("points").get<std::int64_t>(),
                        summary.at("sample").at("expected_se").get<double>()));
    if (summary.contains("drawn"))
        log.info(fmt::format(
            "drew {} reference points within {:g} m of the walls: fill in the column reference of "
            "reference_points.gpkg and give the layer back with --points",
            grouped(summary.at("drawn").at("points").get<std::int64_t>()),
            summary.at("drawn").at("within_m").get<double>()));
    log.info(caution);
    log.info(fmt::format("outputs in {}", summary.at("out").get<std::string>()));
}

} // namespace fuelring
