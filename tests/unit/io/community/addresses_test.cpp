// SPDX-License-Identifier: Apache-2.0
#include "community_fixture.hpp"
#include "io/community/community_findings.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// Two houses of 10 x 10 m, 4 m apart, and a courtyard house.
Town two_houses()
{
    Town town;
    town.structures({{rectangle(24, -20, 10, 10), {"b"}},
                     {rectangle(10, -20, 10, 10), {"a"}},
                     {"POLYGON ((500060 5539960, 500080 5539960, 500080 5539980, 500060 5539980, "
                      "500060 5539960), (500062 5539962, 500062 5539978, 500078 5539978, "
                      "500078 5539962, 500062 5539962))",
                      {"c"}}});
    return town;
}

} // namespace

TEST_CASE("an address joins the footprint that holds it, else the nearest wall within reach")
{
    struct Case {
        std::string_view why;
        double x, y;
        std::string_view joins; ///< empty: none
    };
    const Case cases[] = {
        {"inside a", 15, -15, "a"},
        {"inside b", 25, -11, "b"},
        {"1 m from a, 3 m from b", 21, -15, "a"},
        {"3 m from a, 1 m from b", 23, -15, "b"},
        {"half way: by id", 22, -15, "a"},
        {"8.49 m off the corner of a", 4, -26, "a"},
        {"10.0 m off: just within", 0, -15, "a"},
        {"10.1 m off", -0.1, -15, ""},
        {"10.0 in x and in y, 14 in truth", 0, -30, ""},
        {"in the courtyard: 5 m from its wall", 67, -30, "c"},
    };
    Town town = two_houses();
    std::vector<FeatureSpec> features;
    for (const Case& c : cases)
        features.push_back({point(c.x, c.y), {std::string{c.why}}});
    town.addresses(features);
    const Community community = town.read();
    REQUIRE(community.addresses.size() == std::size(cases));
    std::vector<std::string> unjoined;
    for (std::size_t k = 0; k < std::size(cases); ++k) {
        CAPTURE(cases[k].why);
        const Address& address = community.addresses[k];
        CHECK(address.text == cases[k].why);
        const std::string joined =
            address.structure ? community.structures[*address.structure].id : "";
        CHECK(joined == cases[k].joins);
        if (!address.structure)
            unjoined.push_back(address.text);
    }
    REQUIRE(town.warning("addresses_not_joined"));
    CHECK(town.warning("addresses_not_joined")->examples == unjoined);
    CHECK(town.warning("addresses_not_joined")->text ==
          "2 addresses have no structure within 10 m");
}

TEST_CASE("several addresses may belong to one structure")
{
    Town town = two_houses();
    town.addresses({{point(15, -15), {"1"}}, {point(16, -15), {"2"}}, {point(15, -15), {"1"}}});
    for (const Address& address : town.read().addresses)
        CHECK(address.structure == 0U);
}

TEST_CASE("of two structures with the same outline an address joins the one with the lower id")
{
    Town town;
    town.structures({{rectangle(10, -20, 10, 10), {"z"}}, {rectangle(10, -20, 10, 10), {"y"}}});
    town.addresses({{point(15, -15), {"inside"}}, {point(8, -15), {"beside"}}});
    const Community community = town.read();
    for (const Address& address : community.addresses)
        CHECK(community.structures[address.structure.value()].id == "y");
}

TEST_CASE("all addresses that join nothing are listed, not the first few")
{
    Town town = two_houses();
    std::vector<FeatureSpec> features;
    for (int k = 0; k < 40; ++k)
        features.push_back({point(150, -150 - k), {"Fell Road " + std::to_string(k)}});
    town.addresses(features);
    town.read();
    REQUIRE(town.warning("addresses_not_joined"));
    CHECK(town.warning("addresses_not_joined")->examples.size() == 40);
    CHECK(town.warning("addresses_not_joined")->examples.back() == "Fell Road 39");
}

TEST_CASE("addresses in degrees, in a CSV file, are taken to the grid")
{
    Town town = two_houses();
    // 500 015 E, 5 539 985 N in degrees, by PROJ.
    Point p{500'015, 5'539'985};
    REQUIRE(Reprojection{town.crs, Crs::wgs84()}.apply(p));
    write_text(town.folder / "a.csv", "text,lon,lat\n\"Flat 2, Larch Way\"," + std::to_string(p.x) +
                                          "," + std::to_string(p.y) + "\n007," +
                                          std::to_string(p.x) + "," + std::to_string(p.y) + "\n");
    town.sources.addresses =
        AddressSource{{.path = town.folder / "a.csv", .crs = "EPSG:4326"}, "text", 1};
    const Community community = town.read();
    REQUIRE(community.addresses.size() == 2);
    CHECK(community.addresses[0].text == "Flat 2, Larch Way");
    CHECK(community.addresses[1].text == "007"); // text stays text
    CHECK(community.addresses[0].structure == 0U);
}

TEST_CASE("address layers that cannot be used are refused; features without a point are counted")
{
    Town town = two_houses();
    town.addresses({{point(15, -15), {"1"}}});
    town.sources.addresses->text = "txt";
    const Error e = error_of([&] { town.read(); });
    CHECK(e.kind() == Failure::input);
    CHECK(e.message().find("no column 'txt'; check inputs.addresses.text: the columns are text") !=
          std::string::npos);

    write_layer(town.folder / "mixed.gpkg", {.columns = {"text"}},
                {{rectangle(10, -20, 1, 1), {"area"}},
                 {"", {"nowhere"}},
                 {"MULTIPOINT ((500015 5539985))", {"one of one"}}});
    town.sources.addresses->path = town.folder / "mixed.gpkg";
    town.sources.addresses->text = "text";
    CHECK(town.read().addresses.size() == 1);
    REQUIRE(town.warning("addresses_without_point"));
    CHECK(town.warning("addresses_without_point")->examples ==
          std::vector<std::string>{"area", "nowhere"});

    write_layer(town.folder / "none.gpkg", {.columns = {"text"}},
                {{rectangle(10, -20, 1, 1), {"area"}}});
    town.sources.addresses->path = town.folder / "none.gpkg";
    CHECK(error_of([&] { town.read(); }).message().find("has no address points") !=
          std::string::npos);
}

TEST_CASE("a warning about one thing speaks of one")
{
    struct Case {
        std::string many, one;
    };
    const Case cases[] = {
        {"outlines cross themselves and were repaired (even-odd)",
         "outline crosses itself and was repaired (even-odd)"},
        {"addresses are not single points and are left out",
         "address is not a single point and is left out"},
        {"addresses have no structure within 25 m", "address has no structure within 25 m"},
        {"features have points or lines as well as polygons; the points and lines are left out",
         "feature has points or lines as well as polygons; the points and lines are left out"},
        {"structures are outside the fuel raster: the land around is unmapped",
         "structure is outside the fuel raster: the land around is unmapped"}};
    for (const Case& c : cases)
        CHECK(singular_of(c.many) == c.one);
}
