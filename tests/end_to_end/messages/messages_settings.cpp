// SPDX-License-Identifier: Apache-2.0

// Exit code 2: what the command line, the configuration and the class table can get wrong.
#include "end_to_end/messages.hpp"

namespace fuelring::test {

namespace {

Provocation setting(const char* message, const std::string& table, const std::string& key,
                    const std::string& value)
{
    return {message, {"run.toml, line ", table + "." + key}, [=](MappedHamlet& hamlet) {
                hamlet.config(table, key) = value;
            }};
}

/// A list of [terrain] factors.
Provocation factors(const char* message, const std::string& key, const std::string& rows)
{
    return {message, {"run.toml, line ", "terrain.factors." + key}, [=](MappedHamlet& hamlet) {
                hamlet.config("inputs.elevation", "path") = "'heights.tif'";
                hamlet.config("terrain", "factors") = "[" + rows + "]";
            }};
}

Provocation trials(const char* message, const std::string& list)
{
    return {message, {"run.toml, line ", "sensitivity.trials"}, [=](MappedHamlet& hamlet) {
                hamlet.config("sensitivity", "trials") = "[" + list + "]";
            }};
}

/// A matrix with a class of that name.
Provocation confusion(const char* message, const std::string& name)
{
    return {message, {"matrix.csv"}, [=](MappedHamlet& hamlet) {
                const fs::path file = hamlet.folder() / "matrix.csv";
                write_text(file, "map_class,conifer stand," + name + "\nconifer stand,9,1\n" +
                                     name + ",1,9\n");
                hamlet.config("sensitivity", "confusion") = toml_text(file);
            }};
}

/// A setting of a plan that is right but for it.
Provocation treat(const char* message, const std::string& key, const std::string& value)
{
    return {message, {"run.toml, line ", "treat."}, [=](MappedHamlet& hamlet) {
                hamlet.config("treat", "budget") = "{ hectares = 1 }";
                hamlet.config("treat", key) = value;
            }};
}

Provocation budget(const char* message, const std::string& unit, const std::string& amount)
{
    return treat(message, "budget", "{ " + unit + " = " + amount + " }");
}

/// `.a` so many times.
std::string parts_of_a_key(int count)
{
    std::string parts;
    for (int k = 0; k < count; ++k)
        parts += ".a";
    return parts;
}

/// A key and value of [run] that are nested without need.
Provocation too_deep(const std::string& key, const std::string& value)
{
    return {"keys or brackets are nested deeper than … levels",
            {"run.toml, line "},
            [=](MappedHamlet& hamlet) { hamlet.config("run", key) = value; }};
}

/// [1, 1.25, 1.5, ...]
std::string many_distances(int count)
{
    std::string list = "[";
    for (int k = 0; k < count; ++k)
        list += std::to_string(1 + 0.25 * k) + ", ";
    return list + "]";
}

std::string many_attributes(int count)
{
    std::string list = "[";
    for (int k = 0; k < count; ++k)
        list += "{column = 'structure_id', multipliers = 'm.csv'}, ";
    return list + "]";
}

/// A class table of the hamlet's codes with one more row; line 6 is that row.
Provocation class_row(const char* message, const std::string& row)
{
    return {message, {"classes.csv, line 6"}, [row](MappedHamlet& hamlet) {
                const fs::path csv = hamlet.folder() / "classes.csv";
                write_text(csv, "code,label,group,conifer_share,source\n"
                                "1,pine,conifer,1,test\n3,mixed wood,mixed,0.5,test\n"
                                "5,lawn,grass,0,test\n8,road,built,0,test\n" +
                                    row + "\n");
                hamlet.config("inputs.fuel", "classes") = toml_text(csv);
            }};
}

} // namespace

std::vector<Provocation> configuration_provocations()
{
    return {
        {"…; see fuelring --help", {"--oot"}, [](MappedHamlet&) {}, {"--oot"}},
        {"no valid TOML: …",
         {"run.toml, line "},
         [](MappedHamlet& hamlet) { hamlet.config("run", "jobs") = "= 3"; }},
        too_deep("jobs", std::string(60'000, '[')),
        too_deep("jobs" + parts_of_a_key(60'000), "1"),
        too_deep("jobs", "{ a = \"\"\"b\"\"\"\", c" + parts_of_a_key(60'000) + " = 1 }"),
        setting("… is beyond what is reckoned with", "rings", "weight",
                "[1e308, 1e308, 1e308, 1e308]"),
        setting("all weights are 0, or next to nothing", "rings", "weight", "[0, 0, 0, 1e-300]"),
        setting("… rings; … is the most", "rings", "outer_m", many_distances(5000)),
        setting("… attributes; … is the most", "inputs.structures", "attributes",
                many_attributes(11)),
        setting("… where … is expected", "run", "minutes", "0"),
        {"the numbers are not above 0 and rising",
         {"run.toml, line ", "appraise.thresholds"},
         [](MappedHamlet& hamlet) { hamlet.config("appraise", "thresholds") = "[0.5, 0.1]"; }},
        {"the numbers are not above 0 and rising",
         {"run.toml, line ", "appraise.thresholds"},
         [](MappedHamlet& hamlet) { hamlet.config("appraise", "thresholds") = "[0, 1]"; }},
        {"… thresholds are too many",
         {"run.toml, line ", "appraise.thresholds"},
         [](MappedHamlet& hamlet) {
             hamlet.config("appraise", "thresholds") = many_distances(21);
         }},
        treat("… is beyond what is reckoned with", "costs", "[{ per_ha = 1e300 }]"),
        treat("… is beyond what is reckoned with", "smallest_m2", "1e200"),
        budget("… is beyond what is reckoned with", "money", "1e308"),
        setting("unknown key; did you mean …?", "inputs.structures", "min_area_m", "15"),
        setting("unknown key; did you mean …?", "rings", "wieght", "[1, 1, 1, 1]"),
        {"the key is missing: …",
         {"run.toml, ", "inputs.fuel.classes"},
         [](MappedHamlet& hamlet) { hamlet.config.tables["inputs.fuel"].erase("classes"); }},
        setting("… where … is expected", "inputs.fuel", "band", "'one'"),
        setting("… where … is expected", "run", "jobs", "-1"),
        setting("… does not rise above …", "rings", "outer_m", "[10, 1.5, 30, 100]"),
        setting("… weights for … distances", "rings", "weight", "[1, 1]"),
        setting("… is none of rings.outer_m", "rings", "near_m", "11"),
        {"… MB are too little: …",
         {"run.memory_mb"},
         [](MappedHamlet& hamlet) { hamlet.config("run", "memory_mb") = "64"; }},
        {"rings cannot follow slopes without heights",
         {"run.toml, line ", "terrain: "},
         [](MappedHamlet& hamlet) { hamlet.config("terrain", "factors") = "[]"; }},
        factors("a ring factor of … is out of range", "down", "{slope_deg = 20, down = 0.5}"),
        factors("a ring factor of … is out of range", "across", "{slope_deg = 20, across = 50}"),
        factors("a slope of … degrees is out of range", "slope_deg", "{slope_deg = 100, down = 2}"),
        factors("… does not rise above …", "slope_deg",
                "{slope_deg = 20, down = 2}, {slope_deg = 10, down = 1}"),
        setting("'…' is none of the choices", "inputs.fuel", "values", "'shares'"),
        {"a class table beside values = …, which needs none",
         {"run.toml, line ", "inputs.fuel.classes"},
         [](MappedHamlet& hamlet) { hamlet.config("inputs.fuel", "values") = "'percent'"; }},
        setting("a column of one coordinate alone", "inputs.addresses", "x", "'east'"),
        setting("an area is either a layer or a box", "community", "area", "{ crs = 'EPSG:4326' }"),
        setting("not a box: …", "community", "area", "{ box = [10, 50, 9, 51] }"),
        setting("a box has no layer", "community", "area",
                "{ box = [9, 50, 10, 51], layer = 'town' }"),
        setting("a STAC item needs the day of the imagery", "output", "stac_item", "true"),
        setting("a shift of … m is out of range", "uncertainty", "shift_m", "-1"),
        setting("a range of … m is out of range", "sensitivity", "range_m", "0"),
        trials("trial '…' changes nothing", "{ name = 'same' }"),
        trials("two trials are named '…'",
               "{ name = 'a', weight = [1, 1, 1, 1] }, { name = 'a', weight = [1, 0, 0, 0] }"),
        {"… trials; … is the most",
         {"run.toml, line ", "sensitivity.trials"},
         [](MappedHamlet& hamlet) {
             std::string list;
             for (int k = 0; k <= 100; ++k)
                 list += "{ name = '" + std::to_string(k) + "', weight = [1, 1, 1, 1] }, ";
             hamlet.config("sensitivity", "trials") = "[" + list + "]";
         }},
        confusion("class '…' is not in the class table", "pine"),
        confusion("class '…' is unmapped", "no data"),
        {"code … is … here and … in the table of the run",
         {"other.csv"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "other.csv";
             write_text(file, "code,label,group,conifer_share,source\n1,conifer,conifer,1,x\n");
             hamlet.config("sensitivity", "trials") =
                 "[{ name = 'other', classes = " + toml_text(file) + " }]";
         }},
        {"the raster holds shares, not classes",
         {"sensitivity"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "matrix.csv";
             write_text(file, "map_class,a,b\na,9,1\nb,1,9\n");
             hamlet.config.tables["inputs.fuel"].erase("classes");
             hamlet.config("inputs.fuel", "values") = "'percent'";
             hamlet.config("sensitivity", "confusion") = toml_text(file);
         }},
        setting("a change of … points is out of range", "gate", "max_change", "101"),
        setting("a correlation of … is out of range", "gate", "min_height_correlation", "1.5"),
        {"… is not a height unit",
         {"run.toml, line ", "inputs.elevation.unit"},
         [](MappedHamlet& hamlet) {
             hamlet.config("inputs.elevation", "path") = "'heights.tif'";
             hamlet.config("inputs.elevation", "unit") = "'cm'";
         }},
        setting("there is no table [treat] to plan by", "run", "also", "['treat']"),
        setting("… lies inside the output folder", "output", "dir", "'.'"),
        budget("… where … is expected", "money", "0"),
        budget("… where … is expected", "hectares", "-1"),
        treat("a budget is either money or hectares", "budget", "{ money = 1, hectares = 1 }"),
        treat("a budget of hectares has no fixed costs", "fixed_cost_per_unit", "100"),
        budget("a budget of money needs costs", "money", "50000"),
        treat("no entry is for the other owners", "costs", "[{ owner = 'crown', per_ha = 1 }]"),
        setting("'…' is no currency", "report", "currency", "'Canadian dollars'"),
        setting("a backdrop needs a credit line", "report", "backdrop", "'photograph.tif'"),
        setting("a text of … characters", "report", "contact", "'" + std::string(301, 'x') + "'"),
        setting("'…' is no currency", "report", "currency", "\"C\\nD\""),
        treat("… leaves everything", "residual_share", "1"),
        treat("… is less than four times smallest_m2", "max_unit_m2", "39"),
        treat("a gap of … m is out of range", "gap_m", "500"),
        treat("'…' has a cost already", "costs",
              "[{ owner = 'crown', per_ha = 1 }, { owner = 'Crown', per_ha = 2 }]"),
        treat("there is no table [inputs.…]", "costs",
              "[{ max_slope_percent = 35, per_ha = 1 }, { per_ha = 2 }]"),
        treat("there is no table [inputs.…]", "costs",
              "[{ max_road_m = 200, per_ha = 1 }, { per_ha = 2 }]"),
        treat("'…' has a share already", "thinning",
              "[{ owner = 'crown', residual_share = 0.5 }, { owner = 'Crown' }]"),
        treat("no column has the ids of parcels", "declined", "{ parcels = ['P-17'] }"),
        treat("there is no layer of parcels", "declined", "{ owners = ['crown'] }"),
        treat("neither a floor nor a cap is given", "limits", "[{ owner = 'crown' }]"),
        treat("… is above at_most = …", "limits",
              "[{ owner = 'crown', at_least = 20, at_most = 10 }]"),
        treat("the limit is for no land", "limits", "[{ at_least = 20 }]"),
        treat("a limit in money needs costs", "limits",
              "[{ owner = 'crown', of = 'money', at_most = 10 }]"),
        treat("strips need lines to lie along", "shape", "'strip'"),
        treat("… brings everything back", "regrowth_per_year", "1"),
        treat("… does not follow …", "years",
              "[{ year = 2027, budget = 0.5 }, { year = 2029, budget = 0.5 }]"),
        treat("regrowth and upkeep need years", "regrowth_per_year", "0.02"),
        treat("the years have … together, and the budget is …", "years",
              "[{ year = 2027, budget = 0.5 }]"),
        {"a budget of hectares pays no upkeep",
         {"run.toml, line ", "treat.upkeep_per_ha"},
         [](MappedHamlet& hamlet) {
             hamlet.config("treat", "budget") = "{ hectares = 1 }";
             hamlet.config("treat", "years") = "[{ year = 2027, budget = 1 }]";
             hamlet.config("treat", "upkeep_per_ha") = "100";
         }},
        treat("'…' is none of the choices", "costs", "[{ method = 'goats', per_ha = 1 }]"),
        treat("'…' is neither choice", "keep_out", "{ path = 'streams.gpkg', by = 'near' }"),
        treat("there is no layer of parcels", "shape", "'parcel'"),
        treat("… where … is expected", "costs", "[{ per_ha = -9000 }]"),
        {"… is not a coordinate reference system: …",
         {"EPSG:0", "inputs.structures.crs"},
         [](MappedHamlet& hamlet) {
             const fs::path shp = hamlet.folder() / "no_crs.shp";
             make_layer(shp, "ESRI Shapefile", "id", 0,
                        {{"A", rectangle_wkt(600130, 5600150, 600140, 5600160)}});
             hamlet.config("inputs.structures", "path") = toml_text(shp);
             hamlet.config("inputs.structures", "id") = "'id'";
             hamlet.config("inputs.structures", "crs") = "'EPSG:0'";
         }},
    };
}

namespace {

/// A table of multipliers for the ids of the hamlet's houses, as if they were an attribute.
Provocation multipliers(const char* message, std::vector<std::string> names,
                        const std::string& rows)
{
    return {message, std::move(names), [rows](MappedHamlet& hamlet) {
                const fs::path csv = hamlet.folder() / "multipliers.csv";
                write_text(csv, "value,label,multiplier,source\n" + rows);
                hamlet.config("inputs.structures", "attributes") =
                    "[{column = 'structure_id', multipliers = " + toml_text(csv) + "}]";
            }};
}

} // namespace

std::vector<Provocation> multiplier_provocations()
{
    constexpr const char* no_number =
        "column multiplier: … is not a number above 0 and at most 100";
    return {
        {"the table of multipliers cannot be read: …",
         {"absent.csv", "inputs.structures.attributes"},
         [](MappedHamlet& hamlet) {
             hamlet.config("inputs.structures", "attributes") =
                 "[{column = 'structure_id', multipliers = 'absent.csv'}]";
         }},
        multipliers(no_number, {"multipliers.csv, line 2", "-2"}, "A-1,a,-2,test\n"),
        multipliers(no_number, {"multipliers.csv, line 2", "nan"}, "A-1,a,nan,test\n"),
        multipliers(no_number, {"multipliers.csv, line 2", "101"}, "A-1,a,101,test\n"),
        multipliers("column value: … is in two rows", {"multipliers.csv, line 3", "A-1"},
                    "A-1,a,1,test\nA-1,a,2,test\n"),
        multipliers("… values of column … are not in the table of multipliers: …",
                    {"structures.gpkg", "'A-2' (1 structures)", "'A-5'", "structure_id"},
                    "A-1,a,1,test\n"),
        setting("nothing says how susceptible structures are", "output", "rank_by",
                "'exposure_x_susceptibility'"),
        {"a multiplier of … is out of range",
         {"run.toml, line ", "inputs.structures.attributes.unknown"},
         [](MappedHamlet& hamlet) {
             hamlet.config("inputs.structures", "attributes") =
                 "[{column = 'structure_id', multipliers = 'm.csv', unknown = -1}]";
         }},
    };
}

std::vector<Provocation> class_table_provocations()
{
    constexpr const char* no_share =
        "column conifer_share: … is not a number from 0 to 1 with at most four decimals";
    return {
        {"the fuel-class table cannot be read: …",
         {"absent.csv", "inputs.fuel.classes"},
         [](MappedHamlet& hamlet) { hamlet.config("inputs.fuel", "classes") = "'absent.csv'"; }},
        class_row("column code: … is already on line …", "1,spruce,conifer,1,test"),
        class_row(no_share, "9,fir,conifer,1.7,test"),
        class_row(no_share, "9,fir,conifer,-0.1,test"),
        class_row(no_share, "9,fir,conifer,0.12345,test"),
        class_row(no_share, "9,fir,conifer,\"0,5\",test"),
        class_row("column code: … is not a whole number", "fir,fir,conifer,1,test"),
        class_row("column group: … is unknown", "9,fir,needles,1,test"),
        class_row("… cells where the heading has …", "9,fir, old,conifer,1,test"),
        {"column … is missing",
         {"classes.csv, line 1", "conifer_share"},
         [](MappedHamlet& hamlet) {
             const fs::path csv = hamlet.folder() / "classes.csv";
             write_text(csv, "code,label,group\n1,pine,conifer\n");
             hamlet.config("inputs.fuel", "classes") = toml_text(csv);
         }},
    };
}

} // namespace fuelring::test
