// SPDX-License-Identifier: Apache-2.0
#include "damage/formats.hpp"
#include "exposure/susceptibility.hpp"
#include "io/community/confusion_csv.hpp"
#include "run/config/config.hpp"
#include "run/report/sheet_text_in.hpp"
#include "support/make_inputs.hpp"
#include "support/temp_folder.hpp"

#include <fuelring/fuel_classes.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace fuelring::test {

std::vector<Format> text_formats(const std::string&)
{
    const fs::path config = sample_data().parent_path() / "config";
    std::vector<Format> formats;
    formats.push_back(
        {"configuration",
         {{"c.toml", text_of(sample_data() / "tamarack_bend.toml")}},
         [](const std::string& in) { return load_config(in + "/c.toml").text_of_map; }});
    formats.push_back({"words of sheets",
                       {{"w.toml", text_of(config / "texts/french.toml")}},
                       [](const std::string& in) {
                           const auto text = load_sheet_text(in + "/w.toml");
                           return fmt::format("{}", fmt::join(text.cautions, "\n"));
                       }});
    formats.push_back({"class table",
                       {{"t.csv", text_of(config / "fuel-classes/nlcd.csv")}},
                       [](const std::string& in) {
                           const FuelClassTable table = FuelClassTable::read(in + "/t.csv");
                           std::string figures;
                           for (const FuelClass& row : table.rows())
                               figures += fmt::format("{} {} {}\n", row.code, int(row.group),
                                                      row.conifer_share);
                           return figures;
                       }});
    formats.push_back(
        {"multipliers",
         {{"m.csv", "value,label,multiplier,source\nA,slate,0.5,test\n\"B, \"\"C\"\"\","
                    "shingles,4,test\n,not known,1,test\n"}},
         [](const std::string& in) {
             const auto table = MultiplierTable::read(in + "/m.csv");
             return fmt::format("{} {} {}", table.find("A").value_or(-1),
                                table.find("B, \"C\"").value_or(-1), table.find("").value_or(-1));
         }});
    formats.push_back({"matrix of reference points",
                       {{"m.csv", "map_class,removed,unchanged\nremoved,40,3\nunchanged,2,55\n"}},
                       [](const std::string& in) {
                           const auto matrix = read_confusion_matrix(in + "/m.csv", "test");
                           return fmt::format("{} {}", fmt::join(matrix.classes, ","),
                                              fmt::join(matrix.counts, ","));
                       }});
    return formats;
}

} // namespace fuelring::test
