// SPDX-License-Identifier: Apache-2.0

// Every message of the manual's table for `fuelring classify`, provoked through the program.
#include "end_to_end/messages.hpp"
#include "woods.hpp"

#include <algorithm>
#include <functional>
#include <set>

using namespace fuelring::test;

namespace {

struct WrongWoods {
    std::string message;
    std::function<void(Woods&)> act;
    std::string command = "classify";
};

void set_images(Woods& woods, const std::string& list)
{
    woods.config("imagery", "images") = "[" + list + "]";
}

void train_at(const Woods& woods, const std::vector<Shape>& areas)
{
    fs::remove(woods.folder() / "training.gpkg");
    make_layer(woods.folder() / "training.gpkg", "GPKG", "group", 32611, areas);
}

void add_homes(Woods& woods, double x)
{
    make_layer(woods.folder() / "homes.gpkg", "GPKG", "id", 32611,
               {{"one", rectangle_wkt(x, 5'600'240, x + 10, 5'600'250)}});
    woods.config("inputs.structures", "path") = "'homes.gpkg'";
}

void map_with_classify(Woods& woods)
{
    add_homes(woods, 600'050);
    woods.config("inputs.fuel", "path") = "'fuel/conifer_share.tif'";
    woods.config("inputs.fuel", "values") = "'fraction'";
    woods.config("output", "dir") = "'out'";
    woods.config("run", "classify") = "true";
}

const std::string photo = "path = 'photo.tif'";
const std::string photo_roles = "roles = ['blue', 'green', 'red', 'near_infrared']";

std::vector<WrongWoods> wrong_configurations()
{
    return {
        {"'…' is not a role",
         [](Woods& w) { set_images(w, "{ " + photo + ", roles = ['violet'] }"); }},
        {"the key is missing: what its bands hold is needed",
         [](Woods& w) { set_images(w, "{ " + photo + " }"); }},
        {"the key is missing: there is no image to classify",
         [](Woods& w) { w.config.tables["imagery"].erase("images"); }},
        {"no table [imagery.training], and the rule that stands in for it needs …",
         [](Woods& w) { w.config.tables.erase("imagery.training"); }},
        {"… where a number between -1 and 1 is expected",
         [](Woods& w) { w.config("imagery.rule", "green") = "7"; }},
        {"no output folder: imagery.output.dir is missing",
         [](Woods& w) { w.config.tables.erase("imagery.output"); }},
        {"imagery.extent is \"structures\", but there is no table [inputs.structures]",
         [](Woods& w) { w.config("imagery", "extent") = "'structures'"; }},
        {"cells of … m are out of range", [](Woods& w) { w.config("imagery", "cell_m") = "0.01"; }},
        {"nothing says what to classify, and into which folder",
         [](Woods& w) {
             map_with_classify(w);
             w.config.tables.erase("imagery.output");
         },
         "map"},
        {"inputs.fuel.path is not a raster that classify makes",
         [](Woods& w) {
             map_with_classify(w);
             w.config("inputs.fuel", "path") = "'photo.tif'";
         },
         "map"},
        {"classify has not made the fuel raster yet", map_with_classify, "check"}};
}

std::vector<WrongWoods> wrong_images()
{
    return {{"the image has … bands, but … gives … roles",
             [](Woods& w) { set_images(w, "{ " + photo + ", roles = ['red', 'green'] }"); }},
            {"the first image is in …, where cells are not measured in metres",
             [](Woods& w) {
                 w.make_photo(w.folder() / "degrees.tif", 0, Woods::cells, 4326);
                 set_images(w, "{ path = 'degrees.tif', " + photo_roles + " }");
             }},
            {"the images show no place in common",
             [](Woods& w) {
                 w.make_photo(w.folder() / "far.tif", 0, Woods::cells, 32612);
                 set_images(w, "{ path = 'far.tif', " + photo_roles +
                                   " }, { path = 'heights.tif', roles = ['height'] }");
             }},
            {"no structure is near what all images show",
             [](Woods& w) {
                 w.config("imagery", "extent") = "'structures'";
                 add_homes(w, 640'050);
             }},
            {"… x … cells would be classified; … is the most",
             [](Woods& w) {
                 make_fuel(w.folder() / "wide.tif",
                           {240,
                            240,
                            {600'000, 10'000, 0, 5'600'300, 0, -10'000},
                            32611,
                            [](std::int64_t, std::int64_t) { return int{grass}; }});
                 set_images(w, "{ path = 'wide.tif', roles = ['red'] }");
                 w.config("imagery", "cell_m") = "0.05";
             }},
            {"the images know no cell of the land that is classified", [](Woods& w) {
                 w.make_photo(w.folder() / "empty.tif", Woods::known_cols, 20);
                 w.make_winter(w.folder() / "winter.tif");
                 set_images(w, "{ path = 'empty.tif', " + photo_roles +
                                   " }, { path = 'winter.tif', roles = ['red', 'near_infrared'], "
                                   "season = 'leaf_off' }, { path = 'heights.tif', roles = "
                                   "['height'] }");
                 w.config.tables.erase("imagery.training");
             }}};
}

std::vector<WrongWoods> wrong_training()
{
    const auto area = [](const std::string& group, double x) {
        return Shape{group, rectangle_wkt(x, 5'600'270, x + 6, 5'600'276)};
    };
    return {
        {"'…' is not a group", [=](Woods& w) { train_at(w, {area("pine", 600'010)}); }},
        {"the layer has no training areas", [](Woods& w) { train_at(w, {}); }},
        {"a training area is a polygon or a point",
         [](Woods& w) {
             train_at(w, {{"conifer", "LINESTRING (600010 5600270, 600020 5600270)"}});
         }},
        {"none of the … training areas lies where all images know the land",
         [](Woods& w) {
             w.make_training({Woods::conifer, Woods::grass}, 5000);
         }},
        {"all training areas that the images show are …: one group cannot be told from nothing",
         [](Woods& w) { w.make_training({Woods::conifer}); }},
        {"all training areas lie in one block, so that accuracy cannot be measured", [=](Woods& w) {
             train_at(w, {area("conifer", 600'030), area("broadleaved", 600'042)});
         }}};
}

} // namespace

TEST_CASE("each wrong imagery or training gives its message, and no folder is made")
{
    std::set<std::string> provoked;
    const std::vector<MessageRow> rows = messages_of_manual("## Messages of classify");
    for (const auto& some : {wrong_configurations(), wrong_images(), wrong_training()})
        for (const WrongWoods& wrong : some) {
            CAPTURE(wrong.message);
            provoked.insert(wrong.message);
            const auto row = std::find_if(rows.begin(), rows.end(), [&](const MessageRow& r) {
                return r.message == wrong.message;
            });
            REQUIRE(row != rows.end());
            Woods woods;
            wrong.act(woods);
            check_refused(woods.run(wrong.command), row->exit_code, row->words());
            CHECK(!fs::exists(woods.out()));
            CHECK(names_in(woods.folder()).find(".new.") == std::string::npos);
        }
    CHECK(provoked.size() == rows.size());
}
