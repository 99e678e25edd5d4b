// SPDX-License-Identifier: Apache-2.0
#include "config_texts.hpp"

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("the smallest configuration takes the documented defaults")
{
    const ConfigFile file{smallest};
    const Config config = load_config(file.path);
    CHECK(config.community_name == "Tamarack Bend");
    CHECK(config.text == smallest);
    CHECK(config.inputs.structures.path == (file.folder / "data/structures.gpkg").string());
    CHECK(config.inputs.structures.min_area_m2 == 0);
    CHECK(config.inputs.fuel.path == (file.folder / "data/fuel.tif").string());
    CHECK(config.inputs.fuel.classes == (file.folder / "classes.csv").string());
    CHECK(config.inputs.fuel.band == 1);
    CHECK_FALSE(config.inputs.fuel.unknown_codes_are_unmapped);
    CHECK_FALSE(config.inputs.addresses.has_value());
    CHECK_FALSE(config.inputs.neighbourhoods.has_value());
    CHECK_FALSE(config.inputs.elevation.has_value());
    CHECK_FALSE(config.uncertainty.has_value());
    CHECK(config.stretch.rows == std::vector<StretchRow>{{10, 1, 1}, {25, 2.5, 1}});
    CHECK(config.furthest_m() == 100);
    CHECK(config.rings.outer_m == std::vector<double>{1.5, 10, 30, 100});
    CHECK(config.rings.weight == std::vector<double>{0.35, 0.35, 0.20, 0.10});
    CHECK(config.near.m == 10);
    CHECK(config.near.ring == 1);
    CHECK(config.output.dir == file.folder / "out");
    CHECK(config.output.csv_bom);
    CHECK_FALSE(config.output.ring_outlines);
    CHECK(config.output.rank_by == RankBy::exposure);
    CHECK(config.inputs.attributes.empty());
    CHECK(config.run.jobs == 0);
    CHECK(config.run.tile_cells == 512);
    CHECK_FALSE(config.run.memory_mb.has_value());
    CHECK_FALSE(config.run.remote_inputs);
}

TEST_CASE("every documented key is read")
{
    const ConfigFile file{R"([community]
name = "A"
[inputs.structures]
path = "/data/s.gpkg"
layer = "roofs"
id = "bid"
where = "kind <> 'shed'"
min_area_m2 = 15
crs = "EPSG:32611"
[[inputs.structures.attributes]]
column = "roof"
multipliers = "roof.csv"
[[inputs.structures.attributes]]
column = "deck"
multipliers = "/tables/deck.csv"
unknown = 1.5
[inputs.fuel]
path = "sub/../f.tif"
band = 2
classes = "c.csv"
date = 2026-07-15
crs = "EPSG:32612"
unknown_codes = "unmapped"
[inputs.addresses]
path = "a.csv"
layer = "a"
text = "addr"
join_within_m = 12.5
crs = "EPSG:4326"
[inputs.neighbourhoods]
path = "PG:dbname=town"
layer = "n"
name = "label"
[inputs.parcels]
path = "p.gpkg"
layer = "p"
owner = "owner"
where = "status = 1"
private = ["P", "leasehold"]
[inputs.elevation]
path = "dem.tif"
band = 3
crs = "EPSG:4326"
unit = "us-ft"
[terrain]
factors = [{slope_deg = 8}, {slope_deg = 30, down = 3, across = 1.5}]
[uncertainty]
shift_m = 0.75
draws = 64
first = 50
first_neighbourhoods = 3
[rings]
outer_m = [2, 20]
weight = [3, 1]
near_m = 2
[output]
dir = "results/"
csv_bom = false
ring_outlines = true
rank_by = "exposure_x_susceptibility"
[run]
jobs = 3
tile_cells = 256
memory_mb = 2000
also = ["report"]
remote_inputs = true
)"};
    const Config config = load_config(file.path);
    CHECK(config.inputs.structures.path == "/data/s.gpkg");
    CHECK(config.inputs.structures.layer == "roofs");
    CHECK(config.inputs.structures.id == "bid");
    CHECK(config.inputs.structures.where == "kind <> 'shed'");
    CHECK(config.inputs.structures.min_area_m2 == 15);
    CHECK(config.inputs.structures.crs == "EPSG:32611");
    REQUIRE(config.inputs.attributes.size() == 2);
    CHECK(config.inputs.attributes[0].column == "roof");
    CHECK(config.inputs.attributes[0].multipliers == (file.folder / "roof.csv").string());
    CHECK_FALSE(config.inputs.attributes[0].unknown.has_value());
    CHECK(config.inputs.attributes[1].multipliers == "/tables/deck.csv");
    CHECK(config.inputs.attributes[1].unknown == 1.5);
    CHECK(config.inputs.structures.attributes == std::vector<std::string>{"roof", "deck"});
    CHECK(config.output.rank_by == RankBy::exposure_x_susceptibility);
    CHECK(config.run.also.report);
    CHECK_FALSE(config.run.also.treat);
    CHECK(config.inputs.fuel.path == (file.folder / "f.tif").string());
    CHECK(config.inputs.fuel.band == 2);
    CHECK(config.inputs.fuel.date == "2026-07-15");
    CHECK(config.inputs.fuel.crs == "EPSG:32612");
    CHECK(config.inputs.fuel.unknown_codes_are_unmapped);
    REQUIRE(config.inputs.addresses);
    CHECK(config.inputs.addresses->text == "addr");
    CHECK(config.inputs.addresses->join_within_m == 12.5);
    CHECK(config.inputs.addresses->crs == "EPSG:4326");
    REQUIRE(config.inputs.neighbourhoods);
    CHECK(config.inputs.neighbourhoods->path ==
          "PG:dbname=town"); // a connection string is left alone
    CHECK(config.inputs.neighbourhoods->name == "label");
    REQUIRE(config.uncertainty);
    CHECK(config.uncertainty->shift_m == 0.75);
    CHECK(config.uncertainty->draws == 64);
    CHECK(config.uncertainty->first == 50);
    CHECK(config.uncertainty->first_neighbourhoods == 3);
    REQUIRE(config.inputs.elevation);
    CHECK(config.inputs.elevation->path == (file.folder / "dem.tif").string());
    CHECK(config.inputs.elevation->band == 3);
    CHECK(config.inputs.elevation->crs == "EPSG:4326");
    CHECK(config.inputs.elevation->unit == HeightUnit::us_survey_foot);
    CHECK(config.inputs.elevation->remote_allowed);
    REQUIRE(config.inputs.parcels);
    CHECK(config.inputs.parcels->path == (file.folder / "p.gpkg").string());
    CHECK(config.inputs.parcels->owner == "owner");
    CHECK(config.inputs.parcels->where == "status = 1");
    CHECK(config.inputs.parcels->private_owners == std::vector<std::string>{"P", "leasehold"});
    CHECK(config.inputs.parcels->widest_ring_m == 60); // on the steepest slope
    CHECK(config.inputs.parcels->remote_allowed);
    CHECK(config.stretch.rows == std::vector<StretchRow>{{8, 1, 1}, {30, 3, 1.5}});
    CHECK(config.furthest_m() == 60);
    CHECK(config.rings.outer_m == std::vector<double>{2, 20});
    CHECK(config.rings.weight == std::vector<double>{3, 1});
    CHECK(config.near.ring == 0);
    CHECK(config.output.dir == file.folder / "results");
    CHECK_FALSE(config.output.csv_bom);
    CHECK(config.output.ring_outlines);
    CHECK(config.run.jobs == 3);
    CHECK(config.run.tile_cells == 256);
    CHECK(config.run.memory_mb == 2000);
    CHECK(config.run.remote_inputs);
    CHECK(config.inputs.structures.remote_allowed);
    CHECK(config.inputs.fuel.remote_allowed);
}

TEST_CASE("the near distance is the second, or the only one, unless it is given")
{
    CHECK(load_config(ConfigFile{with("[output]", "[rings]\nouter_m = [5, 50]\nweight = [1, 1]\n"
                                                  "[output]")}
                          .path)
              .near.m == 50);
    CHECK(load_config(
              ConfigFile{with("[output]", "[rings]\nouter_m = [5]\nweight = [1]\n[output]")}.path)
              .near.m == 5);
}

TEST_CASE("an empty table of uncertainty takes the documented planning defaults")
{
    const ConfigFile file{with("[output]", "[uncertainty]\n[output]")};
    const Config config = load_config(file.path);
    REQUIRE(config.uncertainty);
    CHECK(config.uncertainty->shift_m == 1.0);
    CHECK(config.uncertainty->draws == 32);
    CHECK_FALSE(config.uncertainty->first.has_value());
    CHECK_FALSE(config.uncertainty->first_neighbourhoods.has_value());
}
