// SPDX-License-Identifier: Apache-2.0

// Wrong files that look right: what would be read in part, or as something else.
#include "messages.hpp"

#include <fmt/format.h>

namespace fuelring::test {

namespace {

Provocation filter(const std::string& where, const char* reason)
{
    return {"the layer cannot be read with the filter …",
            {"structures.gpkg, layer structures", "inputs.structures.where", reason},
            [where](MappedHamlet& hamlet) {
                hamlet.config("inputs.structures", "where") = fmt::format("\"\"\"{}\"\"\"", where);
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

} // namespace

std::vector<Provocation> wrong_file_provocations()
{
    constexpr const char* no_text = "the text in column … is no …: …";
    return {
        filter("structure_id <> 'A-2'; AND structure_id <> 'A-3'", "end at the semicolon"),
        filter("structure_id <> 'A-2' -- AND 1 = 0", "end at the comment --"),
        filter("structure_id <> 'A-2' /* the ruin */", "end at the comment /*"),
        filter("structure_id <> 'A-2", "the quote ' is not closed"),
        address_csv(no_text,
                    {"letters.csv, layer letters, feature 2", "column street is no UTF-8",
                     "'Stra\\xDFe 2'", "inputs.addresses.encoding"},
                    "Stra\xDF"
                    "e 2",
                    ""),
        address_csv(no_text, {"feature 2", "column street is no EUC-JP"},
                    "Stra\xDF"
                    "e 2",
                    "EUC-JP"),
        address_csv("'…' is no encoding of texts", {"inputs.addresses.encoding", "LATIN-99"},
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
        {"the text in column … is no UTF-8: …",
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
