// SPDX-License-Identifier: Apache-2.0

// Wrong files that look right: what would be read in part, or as something else.
#include "end_to_end/messages.hpp"
#include "hamlet_raster.hpp"

#include <fmt/format.h>

#include <array>
#include <cstdint>

namespace fuelring::test {

namespace {

/// All values below `values` in turn, so that each takes as much ground.
void make_picture(const fs::path& file, int bands, int values, const char* photometric)
{
    const auto side = static_cast<int>(hamlet_cells);
    fs::remove(file);
    // Without `photometric` four bands of bytes are RGB and alpha.
    const DatasetPtr data = make_hamlet_raster(file, bands, GDT_Byte,
                                               photometric ? std::vector<std::string>{photometric}
                                                           : std::vector<std::string>{});
    std::vector<std::uint8_t> row(static_cast<std::size_t>(side));
    for (int y = 0; y < side; ++y) {
        for (int x = 0; x < side; ++x)
            row[static_cast<std::size_t>(x)] = static_cast<std::uint8_t>((x + 31 * y) % values);
        for (int band = 1; band <= bands; ++band)
            REQUIRE(GDALRasterIO(GDALGetRasterBand(data.get(), band), GF_Write, 0, y, side, 1,
                                 row.data(), side, 1, GDT_Byte, 0, 0) == CE_None);
    }
}

Provocation filter(const std::string& where, const char* reason)
{
    return {"the layer cannot be read with the filter …",
            {"structures.gpkg, layer structures", "inputs.structures.where", reason},
            [where](MappedHamlet& hamlet) {
                hamlet.config("inputs.structures", "where") = fmt::format("\"\"\"{}\"\"\"", where);
            }};
}

/// Addresses of the hamlet in a table of these lines.
Provocation address_table(const char* message, std::vector<std::string> names,
                          const std::string& lines)
{
    return {message, std::move(names), [=](MappedHamlet& hamlet) {
                const fs::path file = hamlet.folder() / "table.csv";
                write_text(file, lines);
                hamlet.config.tables["inputs.addresses"].clear();
                hamlet.config("inputs.addresses", "path") = toml_text(file);
                hamlet.config("inputs.addresses", "text") = "'street'";
                hamlet.config("inputs.addresses", "crs") = "'EPSG:32611'";
            }};
}

/// Addresses of the hamlet in a CSV, the second of which is as `text`.
Provocation address_csv(const char* message, std::vector<std::string> names,
                        const std::string& text, const std::string& encoding)
{
    return {message, std::move(names), [=](MappedHamlet& hamlet) {
                const fs::path file = hamlet.folder() / "letters.csv";
                write_text(file, "street,x,y\nElm 1,600135,5600155\n" + text + ",600137,5600155\n");
                hamlet.config.tables["inputs.addresses"].clear();
                hamlet.config("inputs.addresses", "path") = toml_text(file);
                hamlet.config("inputs.addresses", "text") = "'street'";
                hamlet.config("inputs.addresses", "crs") = "'EPSG:32611'";
                if (!encoding.empty())
                    hamlet.config("inputs.addresses", "encoding") = toml_text(encoding);
            }};
}

/// Such a raster in place of the hamlet's.
Provocation picture(std::vector<std::string> names, int bands, int values, const char* setting,
                    const char* photometric = nullptr)
{
    return {"the fuel-class table has no row for … around the structures: …", std::move(names),
            [=](MappedHamlet& hamlet) {
                const fs::path file = hamlet.folder() / "picture.tif";
                make_picture(file, bands, values, photometric);
                hamlet.config("inputs.fuel", "path") = toml_text(file);
                hamlet.config("inputs.fuel", "unknown_codes") = setting;
            }};
}

} // namespace

std::vector<Provocation> wrong_file_provocations()
{
    const std::string photograph = "looks like a photograph: 4 bands of 8 bits with colour "
                                   "interpretation red, green, blue, alpha";
    const std::string percentages = "looks like percentages: values 0 to 100, 101 different ones";
    constexpr const char* no_text = "the text in column … is not …: …";
    return {
        picture({photograph, "classify it first", "more; together"}, 4, 256, "'error'"),
        picture({photograph, "classify it first"}, 4, 256, "'unmapped'"),
        picture({"looks like a photograph: 4 bands of 8 bits", "gray, undefined"}, 4, 256,
                "'error'", "PHOTOMETRIC=MINISBLACK"),
        picture({percentages, "inputs.fuel.values = \"percent\"", "inputs.fuel.classes"}, 1, 101,
                "'error'"),
        picture({percentages, "inputs.fuel.values = \"percent\""}, 1, 101, "'unmapped'"),
        picture({"looks like measurements", "values 0 to 255, 256 different ones"}, 1, 256,
                "'error'"),
        {"none of … addresses lies within … m of a structure: …",
         {"far.gpkg, layer far", "700135", "100 km east of the structures", "inputs.addresses.crs"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "far.gpkg";
             make_layer(file, "GPKG", "text", 32611, {{"Elm 1", "POINT (700135 5600155)"}});
             hamlet.config("inputs.addresses", "path") = toml_text(file);
         }},
        filter("structure_id <> 'A-2'; AND structure_id <> 'A-3'", "end at the semicolon"),
        filter("structure_id <> 'A-2' -- AND 1 = 0", "end at the comment --"),
        filter("structure_id <> 'A-2' /* the ruin */", "end at the comment /*"),
        filter("structure_id <> 'A-2' LIMIT 1", "LIMIT"),
        filter("1 = 1 GROUP BY structure_id", "GROUP"),
        filter("structure_id = 'A-2') OR (1 = 1", "the bracket ) that nothing opens"),
        filter("structure_id <> 'A-2", "the quote ' is not closed"),
        address_csv(no_text,
                    {"letters.csv, layer letters, feature 2", "column street is not UTF-8",
                     "'Stra\\xDFe 2'", "inputs.addresses.encoding"},
                    "Stra\xDF"
                    "e 2",
                    ""),
        address_table("… coordinates are not numbers: …",
                      {"'about 7' in feature 2, column y", "inputs.addresses.x"},
                      "street;x;y\nElm 1;600135,5;5600155\nElm 2;600137;about 7\n"),
        address_table("the table has no columns that are called as coordinates usually are",
                      {"inputs.addresses.x"}, "street;rechts;hoch\nElm 1;600135;5600155\n"),
        address_csv(no_text, {"feature 2", "column street is not EUC-JP"},
                    "Stra\xDF"
                    "e 2",
                    "EUC-JP"),
        address_csv("'…' is not a text encoding", {"inputs.addresses.encoding", "LATIN-99"},
                    "Elm 2", "LATIN-99"),
        {"a … file says itself how its texts are written",
         {"places.kml", "inputs.addresses.encoding"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "places.kml";
             make_layer(file, "KML", "text", 4326, {{"Elm 1", "POINT (-115 50)"}});
             hamlet.config("inputs.addresses", "path") = toml_text(file);
             hamlet.config("inputs.addresses", "encoding") = "'ISO-8859-1'";
             hamlet.config.tables["inputs.addresses"].erase("layer");
         }},
        address_table("the file is UTF-16, not UTF-8", {"save the table as UTF-8"},
                      {"\xFF\xFEs\0;\0x\0;\0y\0\n\0", 14}),
        {"the table is UTF-16, not UTF-8",
         {"wide.csv"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "wide.csv";
             write_text(file, {"\0c\0o\0d\0e\0,", 10});
             hamlet.config("inputs.fuel", "classes") = toml_text(file);
         }},
        {"the text in column … is not UTF-8: …",
         {"latin.csv, line 2", "column label", "'Kiefer, d\\xFCrr'"},
         [](MappedHamlet& hamlet) {
             const fs::path file = hamlet.folder() / "latin.csv";
             write_text(file, "code,label,group,conifer_share,source\n"
                              "1,\"Kiefer, d\xFCrr\",conifer,1,test\n");
             hamlet.config("inputs.fuel", "classes") = toml_text(file);
         }},
    };
}

} // namespace fuelring::test
