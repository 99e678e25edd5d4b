// SPDX-License-Identifier: Apache-2.0

// Sheets for homes, from the tables and layers that a run published. Figures are rounded as
// addresses.csv shows them, so that a sheet never says another number than the table. Labels of
// rings and classes of owners are read out of the names of columns: a run is read as it is,
// whatever configuration made it.
#include "base/program/nearest_word.hpp"
#include "base/program/signals.hpp"
#include "io/report_data/home_plans_in.hpp"
#include "report/print/sheets.hpp"
#include "run/report/report_parts.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cctype>
#include <cmath>

namespace fuelring {

using nlohmann::json;

namespace {

using report::HomeFigures;
using report::RingFigures;

/// A cell as addresses.csv shows it, so that a sheet rounds what the table says; empty where it is
/// unknown.
std::optional<double> cell_of(const PictureTable& table, const std::string& column, std::size_t row)
{
    const double value = table.number(column, row);
    if (std::isnan(value))
        return std::nullopt;
    return std::stod(fmt::format("{:.{}f}", value, table.at(column).decimals));
}

constexpr std::string_view share_prefix = columns_of_run::conifer_m2;

/// Labels of the rings, as the columns have them: conifer_m2_LABEL, in order.
std::vector<std::string> ring_labels(const PictureTable& table, std::size_t rings)
{
    constexpr std::string_view prefix = columns_of_run::ring_m2;
    std::vector<std::string> labels;
    for (const PictureColumn& column : table.columns)
        if (column.name.rfind(prefix, 0) == 0)
            labels.push_back(column.name.substr(prefix.size()));
    if (labels.size() != rings)
        throw Error{Failure::input, "the run's tables lack columns of its rings", tables_file,
                    "run fuelring map again"};
    return labels;
}

/// Owners by whom the conifers of a ring are split: what stands between conifer_m2_ and _LABEL.
std::vector<std::string> owners_of(const PictureTable& table, const std::string& label)
{
    std::vector<std::string> owners;
    const std::string suffix = "_" + label;
    for (const PictureColumn& column : table.columns) {
        const std::string& name = column.name;
        if (name.rfind(share_prefix, 0) != 0 ||
            name.size() <= share_prefix.size() + suffix.size() ||
            name.compare(name.size() - suffix.size(), suffix.size(), suffix) != 0)
            continue;
        owners.push_back(
            name.substr(share_prefix.size(), name.size() - share_prefix.size() - suffix.size()));
    }
    return owners;
}

RingFigures ring_figures(const PictureTable& table, std::size_t row, const std::string& label,
                         const std::vector<std::string>& owners)
{
    const auto cell = [&](std::string_view column) {
        return cell_of(table, fmt::format("{}_{}", column, label), row);
    };
    RingFigures ring;
    ring.conifer_m2 = cell("conifer_m2").value_or(0);
    ring.conifer_frac = cell("conifer_frac");
    ring.other_burnable_frac = cell("other_burnable_frac");
    ring.unmapped_frac = cell("unmapped_frac").value_or(0);
    for (const std::string& owner : owners)
        ring.conifer_m2_of_owner.push_back(cell("conifer_m2_" + owner).value_or(0));
    return ring;
}

std::string lower(std::string text)
{
    for (char& c : text)
        c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return text;
}

/// Rows where any of some columns holds the wish.
template <typename Same>
std::vector<std::size_t> rows_where(const PictureTable& table,
                                    std::initializer_list<const char*> columns, Same&& same)
{
    std::vector<std::size_t> rows;
    for (const char* column : columns) {
        for (std::size_t row = 0; row < table.rows; ++row)
            if (same(table.at(column).texts[row]))
                rows.push_back(row);
        if (!rows.empty())
            break;
    }
    return rows;
}

Error unknown_home(const PictureTable& table, const std::string& wish)
{
    std::vector<std::string_view> names;
    for (const char* column :
         {columns_of_run::neighbourhood, columns_of_run::address, columns_of_run::structure_id})
        for (const std::string& name : table.at(column).texts)
            if (!name.empty())
                names.push_back(name);
    const auto nearest = nearest_word(wish, names);
    return {Failure::usage,
            fmt::format("no address, structure or neighbourhood of this run is called {}", wish),
            "--sheets",
            nearest ? fmt::format("did you mean {}?", *nearest)
                    : std::string{"give one as addresses.csv has it, or all"}};
}

/// The figures of one row of the address table, rounded as in addresses.csv.
HomeFigures home_figures(const RunPicture& picture, std::size_t address_row)
{
    const PictureTable& table = picture.structures.table;
    const std::size_t row = picture.structure_of_address[address_row];
    HomeFigures home;
    home.address = picture.addresses.text(columns_of_run::address, address_row);
    home.structure_id = table.text(columns_of_run::structure_id, row);
    home.neighbourhood = table.text(columns_of_run::neighbourhood, row);
    home.exposure = cell_of(table, columns_of_run::exposure, row);
    home.exposure_cleared = exposure_if_cleared(picture, row);
    if (const auto rank = cell_of(table, columns_of_run::rank, row))
        home.rank = std::llround(*rank);
    home.nearest_conifer_m = cell_of(table, columns_of_run::nearest_conifer_m, row);
    home.roof_canopy_m2 = cell_of(table, "roof_canopy_m2", row).value_or(0);
    const std::vector<double>& outer_m = picture.rings.outer_m;
    const std::vector<std::string> labels = ring_labels(table, outer_m.size());
    home.owners = owners_of(table, labels.front());
    for (std::size_t k = 0; k < labels.size(); ++k) {
        RingFigures ring = ring_figures(table, row, labels[k], home.owners);
        ring.from_m = k == 0 ? 0 : outer_m[k - 1];
        ring.to_m = outer_m[k];
        home.rings.push_back(std::move(ring));
    }
    return home;
}

} // namespace

std::optional<double> exposure_if_cleared(const RunPicture& picture, std::size_t row)
{
    const PictureTable& table = picture.structures.table;
    const RingPlan& rings = picture.rings;
    const std::vector<std::string> labels = ring_labels(table, rings.outer_m.size());
    double left = 0;
    double mapped = 0;
    for (std::size_t k = 0; k < labels.size(); ++k) {
        const double frac = table.number("conifer_frac_" + labels[k], row);
        if (std::isnan(frac))
            continue;
        mapped += rings.weight[k];
        if (rings.outer_m[k] > picture.near_m)
            left += rings.weight[k] * frac;
    }
    return mapped > 0 ? std::optional{100 * left / mapped} : std::nullopt;
}

report::RunFacts facts_of(const RunPicture& picture)
{
    report::RunFacts facts;
    facts.community = picture.community;
    facts.imagery_date = picture.imagery_date;
    facts.program = "fuelring " + picture.manifest.at("program").at("fuelring").get<std::string>();
    facts.near_m = picture.near_m;
    const auto words = [&](const char* key) {
        return picture.manifest.value(json::json_pointer{"/configuration/report"} / key,
                                      std::string{});
    };
    if (!words("backdrop").empty())
        facts.picture_credit = words("credit");
    facts.contact = words("contact");
    facts.visit = words("visit");
    const std::vector<double>& ranks = picture.structures.table.at(columns_of_run::rank).numbers;
    facts.structures = static_cast<std::size_t>(
        std::count_if(ranks.begin(), ranks.end(), [](double rank) { return !std::isnan(rank); }));
    return facts;
}

std::vector<std::size_t> rows_wished(const RunPicture& picture, const std::string& wish)
{
    const PictureTable& table = picture.addresses;
    const bool all = wish == "all";
    std::vector<std::size_t> rows = rows_where(
        table,
        {columns_of_run::address, columns_of_run::structure_id, columns_of_run::neighbourhood},
        [&](const std::string& name) { return all || name == wish; });
    if (rows.empty())
        rows = rows_where(table, {columns_of_run::address, columns_of_run::neighbourhood},
                          [&](const std::string& name) { return lower(name) == lower(wish); });
    if (rows.empty())
        throw unknown_home(table, wish);
    return rows;
}

json sheets_json(const RunPicture& picture, const std::vector<std::size_t>& rows)
{
    json list = json::array();
    for (const std::size_t address : rows) {
        const PictureTable& table = picture.structures.table;
        const std::size_t row = picture.structure_of_address[address];
        const double exposure = table.number(columns_of_run::exposure, row);
        const std::optional<double> cleared = exposure_if_cleared(picture, row);
        list.push_back({{"address", picture.addresses.text(columns_of_run::address, address)},
                        {"structure_id", table.text(columns_of_run::structure_id, row)},
                        {"exposure", std::isnan(exposure) ? json() : json(exposure)},
                        {"exposure_cleared", cleared ? json(*cleared) : json()}});
    }
    return list;
}

void write_address_sheets(const report::Sink& sink, const RunFolder& run, const RunPicture& picture,
                          const Context& context, const std::vector<std::size_t>& rows, bool letter,
                          const report::SheetText& text, Progress& progress)
{
    HomePlans plans{run, picture, context};
    report::RunFacts facts = facts_of(picture);
    facts.lines_credit = context.credit;
    facts.logo_png = read_logo(picture);
    const auto sheet_of = [&](std::size_t k) {
        stop_if_asked();
        progress.advance();
        report::HomeSheet sheet;
        const std::size_t structure = picture.structure_of_address[rows[k]];
        sheet.figures = home_figures(picture, rows[k]);
        sheet.figures.down_factor = plans.down_factor(structure);
        sheet.plan = plans.plan(structure);
        return sheet;
    };
    try {
        report::write_sheets(sink, letter ? report::paper_letter : report::paper_a4, rows.size(),
                             sheet_of, facts, text);
    } catch (const report::DoesNotFit& e) {
        throw Error{Failure::usage, e.what(), "--text", "shorten the words of the template"};
    }
}

} // namespace fuelring
