// SPDX-License-Identifier: Apache-2.0

// The data of a page, column by column, in the digits of the run's CSV files; shapes as decimetres
// from the picture's origin, each vertex relative to the one before it.
#include "report/page/page_map_data.hpp"
#include "report/page/page_parts.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <array>
#include <cmath>
#include <cstdlib>
#include <map>

namespace fuelring {

namespace {

using nlohmann::json;

constexpr double steps_per_m = 10;
/// In neighbourhoods.csv.
constexpr int decimals_of_hectares = 3, decimals_of_exposure = 4;

/// The number that the CSV shows, null where it shows none.
json csv_number(double value, int decimals)
{
    if (!std::isfinite(value))
        return nullptr;
    const double rounded = std::strtod(fmt::format("{:.{}f}", value, decimals).c_str(), nullptr);
    if (decimals == 0 || rounded == std::floor(rounded))
        return static_cast<std::int64_t>(rounded); // shorter, and the same number
    return rounded;
}

json csv_number(const std::optional<double>& value, int decimals)
{
    return value ? csv_number(*value, decimals) : json();
}

json column_json(const PictureTable& table, std::string_view name)
{
    const PictureColumn* column = table.find(name);
    if (!column)
        return json::array();
    if (column->kind == PictureColumn::Kind::text)
        return column->texts;
    json cells = json::array();
    for (const double v : column->numbers)
        cells.push_back(csv_number(v, column->decimals));
    return cells;
}

/// All columns of a table, in their order.
json table_json(const PictureTable& table)
{
    json columns = json::array();
    for (const PictureColumn& column : table.columns)
        columns.push_back({{"name", column.name}, {"cells", column_json(table, column.name)}});
    return columns;
}

PictureTable numbers_of(PictureTable table)
{
    std::erase_if(table.columns,
                  [](const PictureColumn& c) { return c.kind == PictureColumn::Kind::text; });
    return table;
}

json shape_json(const PictureShape& shape, LocalScale scale)
{
    json loops = json::array();
    for (const Loop& loop : shape) {
        json steps = json::array();
        std::int64_t x = 0;
        std::int64_t y = 0;
        for (const Point p : loop) {
            const std::int64_t to_x = std::llround(p.x / scale.x * steps_per_m);
            const std::int64_t to_y = std::llround(p.y / scale.y * steps_per_m);
            steps.push_back(to_x - x);
            steps.push_back(to_y - y);
            x = to_x;
            y = to_y;
        }
        loops.push_back(std::move(steps));
    }
    return loops;
}

json shapes_json(const std::vector<PictureShape>& shapes, LocalScale scale)
{
    json all = json::array();
    for (const PictureShape& shape : shapes)
        all.push_back(shape_json(shape, scale));
    return all;
}

const char* kind_word(NeighbourhoodFigures::Kind kind)
{
    switch (kind) {
    case NeighbourhoodFigures::Kind::neighbourhood:
        return "neighbourhood";
    case NeighbourhoodFigures::Kind::outside:
        return "outside";
    case NeighbourhoodFigures::Kind::merged:
        return "merged";
    default:
        return "community";
    }
}

/// Of those taken together: they do not overlap, so their loops are one shape.
json merged_shape_json(const PageParts& parts, const NeighbourhoodFigures& row)
{
    PictureShape all;
    for (const std::size_t member : row.members) {
        const PictureShape& shape = parts.picture.neighbourhoods.shapes[member];
        all.insert(all.end(), shape.begin(), shape.end());
    }
    return shape_json(all, parts.picture.map_scale);
}

json neighbourhoods_json(const PageParts& parts)
{
    json rows = json::array();
    for (const NeighbourhoodFigures& row : parts.rows) {
        json hectares = json::array();
        for (const auto& ha : row.conifer_ha_within)
            hectares.push_back(csv_number(ha, decimals_of_hectares));
        json one = {{"name", row.name},
                    {"kind", kind_word(row.kind)},
                    {"rank", row.rank ? json(*row.rank) : json()},
                    {"structures", row.structures},
                    {"measured", row.measured},
                    {"known_near", row.known_near},
                    {"near", row.near},
                    {"mean", csv_number(row.mean_exposure, decimals_of_exposure)},
                    {"hectares", hectares}};
        if (row.kind == NeighbourhoodFigures::Kind::neighbourhood) // not those that were merged
            one["shape"] = shape_json(parts.picture.neighbourhoods.shapes[row.members.front()],
                                      parts.picture.map_scale);
        if (row.kind == NeighbourhoodFigures::Kind::merged)
            one["hatched"] = merged_shape_json(parts, row);
        if (const PictureTable& table = parts.picture.neighbourhoods.table;
            !parts.for_public && table.find("mean_exposure_p05"))
            one["range"] = {csv_number(table.number("mean_exposure_p05", row.members.front()), 4),
                            csv_number(table.number("mean_exposure_p95", row.members.front()), 4)};
        if (row.p90_exposure)
            one["p90"] = csv_number(row.p90_exposure, decimals_of_exposure);
        if (row.by_class)
            one["classes"] = *row.by_class;
        rows.push_back(std::move(one));
    }
    return rows;
}

/// Numbers of the neighbourhood rows by structure; null where it has none.
json neighbourhood_of_structures(const PageParts& parts)
{
    std::map<std::string, std::size_t> rows;
    for (std::size_t i = 0; i < parts.rows.size(); ++i)
        rows.emplace(parts.rows[i].name, i);
    json numbers = json::array();
    for (const std::string& name : parts.picture.structures.table.at("neighbourhood").texts) {
        const auto found = rows.find(name.empty() ? outside_row : name);
        numbers.push_back(found == rows.end() ? json() : json(found->second));
    }
    return numbers;
}

/// The highest and the lowest rank in the trials, by structure.
json trial_ranks_json(const RunPicture& picture)
{
    const PictureTable& trials = picture.sensitivity;
    std::map<std::string, std::size_t> rows;
    const PictureColumn& ids = trials.at("structure_id");
    for (std::size_t k = 0; k < trials.rows; ++k)
        rows.emplace(ids.texts.empty() ? fmt::format("{}", ids.numbers[k]) : ids.texts[k], k);
    json highest = json::array();
    json lowest = json::array();
    for (const std::string& id : picture.structures.table.at("structure_id").texts) {
        const auto row = rows.find(id);
        const bool is_there = row != rows.end();
        highest.push_back(is_there ? csv_number(trials.number("rank_best", row->second), 0)
                                   : json());
        lowest.push_back(is_there ? csv_number(trials.number("rank_worst", row->second), 0)
                                  : json());
    }
    return {{"highest", highest}, {"lowest", lowest}};
}

json structures_json(const PageParts& parts)
{
    const RunPicture& picture = parts.picture;
    const PictureTable& table = picture.structures.table;
    json structures = {{"id", column_json(table, "structure_id")},
                       {"neighbourhood", neighbourhood_of_structures(parts)},
                       {"shape", shapes_json(picture.structures.shapes, picture.map_scale)}};
    for (const char* name : {"rank", "rank_in_neighbourhood", "exposure", "nearest_conifer_m",
                             "footprint_m2", "roof_canopy_m2", "flags"})
        structures[name] = column_json(table, name);
    if (table.find("exposure_p05"))
        structures["range"] = {{"low", column_json(table, "exposure_p05")},
                               {"high", column_json(table, "exposure_p95")}};
    if (picture.sensitivity.rows > 0)
        structures["trial_ranks"] = trial_ranks_json(picture);
    for (const char* what : {"conifer_frac", "other_burnable_frac", "unmapped_frac"}) {
        json rings = json::array();
        double inner = 0;
        for (const double outer : picture.rings.outer_m) {
            rings.push_back(column_json(table, fmt::format("{}_{}_{}m", what, inner, outer)));
            inner = outer;
        }
        structures[what] = std::move(rings);
    }
    return structures;
}

json context_json(const Context& context, LocalScale scale)
{
    json layers = json::array();
    for (const ContextLayer& layer : context.layers)
        layers.push_back({{"kind", context_kinds[static_cast<std::size_t>(layer.kind)]},
                          {"lines", shape_json(layer.lines, scale)},
                          {"areas", shapes_json(layer.areas, scale)}});
    return {{"layers", layers}, {"credit", context.credit}};
}

/// The columns of change_by_address.csv that the page shows.
PictureTable changed_homes(const PictureTable& homes)
{
    PictureTable shown;
    shown.rows = homes.rows;
    for (const char* name :
         {"status", "address", "structure_id", "neighbourhood", "exposure_before", "exposure_after",
          "exposure_change", "rank_before", "rank_after"})
        shown.columns.push_back(homes.at(name));
    return shown;
}

json steps_json(const PlanSteps& steps)
{
    constexpr int decimals = 4;
    json homes = json::array();
    json groups = json::array();
    json points = json::array();
    for (const PlanSteps::Gain& gain : steps.gains) {
        homes.push_back(gain.home);
        groups.push_back(gain.group);
        points.push_back(csv_number(gain.points, decimals));
    }
    return {{"ends", steps.ends}, {"home", homes}, {"group", groups}, {"points", points}};
}

void add_private(json& data, const PageParts& parts)
{
    const RunPicture& picture = parts.picture;
    data["structures"] = structures_json(parts);
    data["addresses"] = {{"text", column_json(picture.addresses, "address")},
                         {"structure", picture.structure_of_address}};
    data["community"] = picture.community;
    data["surface"] = surface_json(parts);
    if (parts.images.backdrop)
        data["backdrop"] = backdrop_json(parts);
    if (!parts.images.context.empty())
        data["context"] = context_json(parts.images.context, picture.map_scale);
    data["degrees"] = degrees_json(picture);
    data["weights"] = picture.rings.weight;
    if (const auto row = neighbourhood_row(picture, community_row))
        data["sum_exposure"] = csv_number(picture.neighbourhoods.table.number("sum_exposure", *row),
                                          decimals_of_exposure);
    if (picture.treatment)
        data["units"] = {
            {"columns", table_json(picture.treatment->units.table)},
            {"shape", shapes_json(picture.treatment->units.shapes, picture.map_scale)}};
    if (picture.change)
        data["changes"] = table_json(changed_homes(picture.change->homes));
}

/// The outer edge of the last ring that has a weight.
double furthest_that_counts_m(const RingPlan& rings)
{
    std::size_t last = rings.weight.size();
    while (last > 1 && rings.weight[last - 1] == 0)
        --last;
    return rings.outer_m[last - 1];
}

} // namespace

json page_data(const PageParts& parts)
{
    const RunPicture& picture = parts.picture;
    json data = {{"near_m", picture.near_m},
                 {"rings", ring_titles(picture.rings)},
                 {"outer_m", picture.rings.outer_m},
                 {"exposure", {{"from", exposure_classes}}},
                 {"neighbourhoods", neighbourhoods_json(parts)}};
    if (json history = history_json(parts); !history.is_null())
        data["history"] = std::move(history);
    if (const std::string currency = currency_of(picture); !currency.empty())
        data["currency"] = currency;
    if (picture.treatment)
        data["curve"] = table_json(numbers_of(picture.treatment->curve));
    if (!parts.for_public) {
        data["reach_m"] = furthest_that_counts_m(picture.rings);
        add_private(data, parts);
    }
    return data;
}

json page_data_below(const PageParts& parts)
{
    json data = {{"ground", ground_json(parts)}};
    if (const auto& plan = parts.picture.treatment; plan && !plan->steps.ends.empty())
        data["steps"] = steps_json(plan->steps);
    return data;
}

} // namespace fuelring
