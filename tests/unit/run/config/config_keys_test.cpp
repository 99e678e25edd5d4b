// SPDX-License-Identifier: Apache-2.0
#include "run/config/config.hpp"
#include "run/config/config_keys.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <stdlib.h>

#include <algorithm>
#include <charconv>
#include <fstream>
#include <functional>
#include <string>
#include <string_view>

using namespace fuelring;

namespace {

/// What is to stand in place of a key's value: nothing leaves it out.
using ValueOf = std::function<std::string(const ConfigKey&)>;

std::vector<std::string> choices_of(const ConfigKey& key)
{
    std::vector<std::string> found;
    std::string_view rest = key.allowed;
    for (std::size_t at = 0; at != rest.npos; rest.remove_prefix(at == rest.npos ? 0 : at + 3)) {
        at = rest.find(" | ");
        found.emplace_back(rest.substr(0, at));
    }
    return found;
}

/// The ends of "LEAST to MOST".
std::pair<std::int64_t, std::int64_t> range_of(const ConfigKey& key)
{
    std::int64_t least = 0;
    std::int64_t most = 0;
    const std::string_view text = key.allowed;
    const std::size_t to = text.find(" to ");
    REQUIRE(to != text.npos);
    std::from_chars(text.data(), text.data() + to, least);
    std::from_chars(text.data() + to + 4, text.data() + text.size(), most);
    REQUIRE(least < most);
    return {least, most};
}

/// A value that the reference allows: the one a key has anyway, or one of its type.
std::string sample(const ConfigKey& key)
{
    if (!key.fallback.empty() && key.fallback != required_key)
        return std::string{key.fallback};
    switch (key.type) {
    case KeyType::choice:
        return fmt::format("\"{}\"", choices_of(key).front());
    case KeyType::texts:
        return fmt::format("[\"{}\"]", choices_of(key).front());
    case KeyType::flag:
        return "true";
    case KeyType::number:
        return "10"; // money, a slope, a multiplier, and one of rings.outer_m
    case KeyType::whole:
        return std::to_string(range_of(key).first);
    case KeyType::numbers:
        return "[1, 2, 3, 4]"; // a box
    default:
        return fmt::format("\"{}\"", key.key);
    }
}

/// A configuration with every key of the reference; of a budget's two the one in money.
std::string whole_file(const ValueOf& value_of)
{
    std::string text;
    for (const ConfigSection& section : config_sections()) {
        const bool list =
            section.shape == SectionShape::list || section.shape == SectionShape::inline_list;
        text += fmt::format("{}{}{}\n", list ? "[[" : "[", section.name, list ? "]]" : "]");
        for (const ConfigKey& key : config_keys())
            if (const std::string value = value_of(key);
                key.table == section.name && !value.empty())
                text += fmt::format("{} = {}\n", key.key, value);
    }
    return text;
}

/// Keys of which one excludes another: a budget is in money or in hectares, an area a layer or a
/// box.
bool is_second_choice(const ConfigKey& key)
{
    return key.key == "hectares" || key.key == "box";
}
bool is_first_choice(const ConfigKey& key, const ConfigKey& second)
{
    return key.table == second.table &&
           (key.key == "money" || (key.table == "community.area" && key.key != "crs"));
}

std::string without_second_budget(const ConfigKey& key)
{
    return is_second_choice(key) ? std::string{} : sample(key);
}

/// What only a layer of polygons has, and a raster has not.
bool is_of_polygons(const ConfigKey& key)
{
    return key.table == "inputs.fuel" &&
           (key.key == "cell_m" || key.key == "column" || key.key == "layer" ||
            key.key == "where" || key.key == "encoding");
}

/// The same file with one key's value in place of another.
std::string file_with(const ConfigKey& wanted, const std::string& value)
{
    return whole_file([&](const ConfigKey& key) {
        const bool other = is_second_choice(wanted) && is_first_choice(key, wanted);
        if (wanted.key == "values" && !value.empty() && value != "\"classes\"" &&
            key.key == "classes")
            return std::string{}; // shares have no table
        if (wanted.table == "inputs.fuel" && wanted.key == "band" && is_of_polygons(key))
            return std::string{};
        if (&key == &wanted)
            return value;
        return other && !value.empty() ? std::string{} : without_second_budget(key);
    });
}

/// Loads the text as a file; the message of its refusal, or nothing.
std::string refusal_of_key(const std::string& text, std::string* loaded = nullptr);

/// What a configuration says, in words that are equal where it is.
std::string picture(const Config& c)
{
    const TreatmentSettings& t = c.treatment.value();
    std::string text = fmt::format(
        "{} {} {} {} {} {} {} {} {} {}", c.inputs.structures.min_area_m2, c.inputs.fuel.band,
        c.inputs.fuel.unknown_codes_are_unmapped, c.inputs.addresses->join_within_m,
        fmt::join(c.inputs.parcels->private_owners, ","), c.inputs.elevation->band, c.rings.outer_m,
        c.near.m, c.rings.weight, c.furthest_m());
    text +=
        fmt::format("|{} {} {} {} {} {} {}", c.uncertainty->shift_m, c.uncertainty->draws,
                    c.output.csv_bom, c.output.ring_outlines, static_cast<int>(c.output.rank_by),
                    c.output.history_runs, c.run.remote_inputs);
    text += fmt::format("|{} {} {} {}", c.sensitivity->range_m, c.sensitivity->draws,
                        c.sensitivity->resamples, c.sensitivity->seed);
    text += fmt::format("|{} {} {} {} {} {}", c.inputs.corrections->kind,
                        c.inputs.corrections->structure_id, c.inputs.corrections->group,
                        c.inputs.corrections->date, c.inputs.corrections->initials,
                        c.inputs.corrections->wkt);
    text += fmt::format("|{} {} {} {} {}", c.run.jobs, c.run.tile_cells, t.smallest_m2, t.gap_m,
                        t.max_unit_m2);
    text += fmt::format("|{} {} {}", t.fixed_cost_per_unit, t.residual_share, t.costs[0].method);
    text += fmt::format("|{} {} {} {} {}", t.thinning.at(0).residual_share, t.keep_out_by_cover,
                        t.limits.at(0).of, t.regrowth_per_year, t.upkeep_per_ha);
    text += fmt::format("|{} {} {}", c.gate.on, c.gate.max_change, c.gate.max_structures_change);
    for (const StretchRow& row : c.stretch.rows)
        text += fmt::format("|{} {} {}", row.slope_deg, row.down, row.across);
    return text;
}

std::string refusal_of_key(const std::string& text, std::string* loaded)
{
    std::string folder = (std::filesystem::temp_directory_path() / "fuelring-keys-XXXXXX").string();
    REQUIRE(mkdtemp(folder.data()) != nullptr);
    const std::filesystem::path file = std::filesystem::path{folder} / "town.toml";
    std::ofstream{file, std::ios::binary} << text;
    std::string message;
    try {
        const Config config = load_config(file);
        if (loaded)
            *loaded = picture(config);
    } catch (const Error& e) {
        message = e.message();
    }
    std::filesystem::remove_all(folder);
    return message;
}

std::string name_of(const ConfigKey& key)
{
    return fmt::format("{}.{}", key.table, key.key);
}

bool holds(const std::string& text, std::string_view part)
{
    return text.find(part) != text.npos;
}

} // namespace

TEST_CASE("every key of the reference is accepted with a value that it allows")
{
    CHECK(refusal_of_key(whole_file(without_second_budget)) == "");
    for (const ConfigKey& key : config_keys()) {
        CAPTURE(name_of(key));
        if (key.type == KeyType::choice)
            for (const std::string& choice : choices_of(key))
                CHECK(refusal_of_key(file_with(key, fmt::format("\"{}\"", choice))) == "");
        else
            CHECK(refusal_of_key(file_with(key, sample(key))) == "");
    }
}

TEST_CASE("a key that is not in the reference is refused in every table")
{
    CHECK(holds(refusal_of_key("zzz = 1\n" + whole_file(without_second_budget)), "unknown key"));
    for (const ConfigSection& section : config_sections()) {
        const std::string name{section.name};
        std::string text = whole_file(without_second_budget);
        const std::size_t at = text.find("[" + name + "]");
        REQUIRE(at != text.npos);
        text.insert(text.find('\n', at) + 1, "zzz = 1\n");
        const std::string message = refusal_of_key(text);
        CAPTURE(message);
        CHECK(holds(message, name + ".zzz: unknown key"));
    }
}

TEST_CASE("a value of another type than the reference says is refused")
{
    for (const ConfigKey& key : config_keys()) {
        const bool wants_text = key.type == KeyType::text || key.type == KeyType::path ||
                                key.type == KeyType::paths || key.type == KeyType::columns ||
                                key.type == KeyType::choice || key.type == KeyType::date;
        const std::string message = refusal_of_key(file_with(key, key.type == KeyType::whole ? "1.5"
                                                                  : wants_text               ? "7"
                                                                               : "\"text\""));
        CAPTURE(message);
        CHECK(holds(message, name_of(key) + ":"));
        CHECK(holds(message, " expected"));
    }
}

TEST_CASE("a key that the reference calls required is missed, and no other")
{
    for (const ConfigKey& key : config_keys()) {
        const std::string message = refusal_of_key(file_with(key, ""));
        CAPTURE(name_of(key));
        if (key.fallback == required_key) {
            CHECK(holds(message, name_of(key) + ": the key is missing"));
        } else if (key.table == "treat.budget") {
            CHECK(holds(message, "either money or hectares") == (key.key == "money"));
        } else if (key.table == "community.area") {
            CHECK(holds(message, "either a layer or a box") == (key.key == "path"));
        } else if (key.key == "x" || key.key == "y") {
            CHECK(holds(message, "a column of one coordinate alone"));
        } else if (key.table == "inputs.fuel" && key.key == "cell_m") {
            CHECK(holds(message, "a raster has no column"));
        } else if (key.table == "inputs.fuel" && key.key == "column") {
            CHECK(holds(message, "inputs.fuel.column: the key is missing"));
        } else if (key.table == "report" && key.key == "credit") {
            CHECK(holds(message, "a backdrop needs a credit line"));
        } else {
            CHECK(message == "");
        }
    }
}

TEST_CASE("choices and whole numbers outside the reference are refused")
{
    for (const ConfigKey& key : config_keys()) {
        CAPTURE(name_of(key));
        if (key.type == KeyType::choice)
            CHECK(holds(refusal_of_key(file_with(key, "\"zzz\"")), "'zzz' is n"));
        if (key.type != KeyType::whole)
            continue;
        const auto [least, most] = range_of(key);
        CHECK(refusal_of_key(file_with(key, std::to_string(most))) == "");
        const std::string expected = fmt::format("a whole number from {} to {}", least, most);
        CHECK(holds(refusal_of_key(file_with(key, std::to_string(least - 1))), expected));
        CHECK(holds(refusal_of_key(file_with(key, std::to_string(most + 1))), expected));
    }
}

TEST_CASE("a key that is left out has the value that the reference gives")
{
    std::string as_written;
    REQUIRE(refusal_of_key(whole_file(without_second_budget), &as_written) == "");
    for (const ConfigKey& key : config_keys()) {
        if (key.fallback.empty() || key.fallback == required_key)
            continue;
        CAPTURE(name_of(key));
        std::string left_out;
        CHECK(refusal_of_key(file_with(key, ""), &left_out) == "");
        CHECK(left_out == as_written);
    }
}

TEST_CASE("keys and tables of the reference belong together and are said once")
{
    for (const ConfigKey& key : config_keys()) {
        CAPTURE(name_of(key));
        CHECK(std::ranges::any_of(config_sections(),
                                  [&](const ConfigSection& s) { return s.name == key.table; }));
        CHECK(std::ranges::count_if(config_keys(), [&](const ConfigKey& other) {
                  return other.table == key.table && other.key == key.key;
              }) == 1);
        CHECK_FALSE(key.what.empty());
    }
}
