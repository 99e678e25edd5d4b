// SPDX-License-Identifier: Apache-2.0
#include "run/gate/gate_rules.hpp"
#include "run/gate/gate_table.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <functional>
#include <string_view>

using namespace fuelring;

namespace {

SeenGrid good_grid()
{
    return {Crs::from_user_input("EPSG:32611", "test"), {600000, 1, 0, 5600300, 0, -1}, 300, 200};
}

std::vector<std::string> keys_of(const GateReasons& reasons)
{
    std::vector<std::string> keys;
    for (const GateReason& reason : reasons)
        keys.push_back(reason.key);
    return keys;
}

using Keys = std::vector<std::string>;

Keys held_of(const GateReasons& reasons)
{
    GateReasons held;
    for (const GateReason& reason : reasons)
        if (reason.holds)
            held.push_back(reason);
    return keys_of(held);
}

/// 1,000 m2 of ground, of which so many per cent are mapped, and conifers on so many of these.
SeenGround ground(double mapped_percent, double conifer_percent)
{
    return {30, 1000, 10 * mapped_percent, 0.1 * mapped_percent * conifer_percent};
}

/// Ten structures along a street at 50 degrees north, 0.001 degrees apart.
std::vector<SeenStructure> street(const std::function<void(std::size_t, SeenStructure&)>& change)
{
    std::vector<SeenStructure> sample;
    for (std::size_t k = 0; k < 10; ++k) {
        const double lon = -115 + 0.001 * static_cast<double>(k);
        sample.push_back({fmt::format("S{}", k), lon, 50, SeenStructure::Place{lon, 50}});
        change(k, sample.back());
    }
    return sample;
}

constexpr double degree_m = 6'371'000 * 3.14159265358979 / 180; // of a sphere

} // namespace

TEST_CASE("a raster is in its place to a hundredth of a cell, and each way out of it has a name")
{
    struct Case {
        std::string_view why;
        std::function<void(SeenGrid&)> change;
        Keys keys;
    };
    const Case cases[] = {
        {"the same", [](SeenGrid&) {}, {}},
        {"the same CRS by another name",
         [](SeenGrid& g) {
             g.crs = Crs::from_user_input("+proj=utm +zone=11 +datum=WGS84 +type=crs", "test");
         },
         {}},
        {"a hair", [](SeenGrid& g) { g.geotransform[0] += 0.0099; }, {}},
        {"more", [](SeenGrid& g) { g.geotransform[0] += 0.0101; }, {"shifted"}},
        {"half a cell", [](SeenGrid& g) { g.geotransform[3] -= 0.5; }, {"shifted"}},
        {"another datum",
         [](SeenGrid& g) { g.crs = Crs::from_user_input("EPSG:26911", "test"); },
         {"crs"}},
        {"another CRS, and all else with it",
         [](SeenGrid& g) {
             g = {Crs::from_user_input("EPSG:4326", "test"), {-115, 1e-5, 0, 50, 0, -1e-5}, 9, 9};
         },
         {"crs"}},
        {"cells a hair larger", [](SeenGrid& g) { g.geotransform[1] = 1 + 3e-5; }, {}},
        {"which adds up along a row",
         [](SeenGrid& g) { g.geotransform[1] = 1 + 4e-5; },
         {"cell_size"}},
        {"half the cells",
         [](SeenGrid& g) {
             g = {g.crs, {600000, 2, 0, 5600300, 0, -2}, 150, 100};
         },
         {"cell_size"}},
        {"south up",
         [](SeenGrid& g) {
             g.geotransform[3] = 5600100;
             g.geotransform[5] = 1;
         },
         {"direction"}},
        {"turned by a degree",
         [](SeenGrid& g) {
             const double c = std::cos(0.01745), s = std::sin(0.01745);
             g.geotransform = {600000, c, s, 5600300, s, -c};
         },
         {"direction"}},
        {"a column more", [](SeenGrid& g) { ++g.cols; }, {}},
        {"two columns more to the left and one to the right",
         [](SeenGrid& g) {
             g.cols += 3;
             g.geotransform[0] -= 2;
         },
         {}},
        {"a column more, and half a cell off",
         [](SeenGrid& g) {
             ++g.cols;
             g.geotransform[0] -= 0.5;
         },
         {"shifted"}},
        {"nothing finite", [](SeenGrid& g) { g.geotransform[0] = std::nan(""); }, {"shifted"}},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        SeenGrid now = good_grid();
        c.change(now);
        CHECK(keys_of(compare_grids(good_grid(), now)) == c.keys);
    }
}

TEST_CASE("a share may move by the bound, in points, up or down, and not by more")
{
    const GateSettings settings; // 5 points
    struct Case {
        std::string_view why;
        SeenGround before, now;
        Keys keys;
    };
    const Case cases[] = {
        {"nothing moved", ground(80, 20), ground(80, 20), {}},
        {"up by the bound", ground(80, 20), ground(80, 25), {}},
        {"down by the bound", ground(80, 20), ground(80, 15), {}},
        {"up by more", ground(80, 20), ground(80, 25.0001), {"conifer_share"}},
        {"down by more", ground(80, 20), ground(80, 14.9999), {"conifer_share"}},
        {"less is mapped", ground(80, 20), ground(74.9999, 20), {"mapped_share"}},
        {"more is mapped", ground(80, 20), ground(85.0001, 20), {"mapped_share"}},
        {"both", ground(80, 20), ground(30, 70), {"mapped_share", "conifer_share"}},
        {"conifers of nothing are no share", ground(4, 90), ground(0, 0), {}},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(held_of(compare_ground(c.before, c.now, false, settings)) == c.keys);
    }
    CHECK(compare_ground(ground(80, 50), ground(80, 60), false, {true, 40}).empty());
    CHECK(held_of(compare_ground(ground(80, 20), ground(80, 20.001), false, {true, 0})).size() ==
          1);
}

TEST_CASE("a share that is small moves for its size: by half of the larger one, from 1 % on")
{
    const GateSettings settings;
    const auto keys = [&](double before, double now, bool widest = false) {
        return held_of(compare_ground(ground(80, before), ground(80, now), widest, settings));
    };
    CHECK(keys(4.81, 1.88) == Keys{"conifers_changed"}); // hedges lost
    CHECK(keys(1.88, 4.81) == Keys{"conifers_changed"});
    CHECK(keys(4, 2).empty());
    CHECK(keys(0.9, 0.1).empty());
    CHECK(keys(4, 0.4, true) == Keys{"conifers_changed"});
    CHECK(keys(4, 0.3999, true) == Keys{"conifers_gone"}); // less than a tenth is left
    CHECK(keys(0.9, 0.08, true) == Keys{"conifers_gone"});
    CHECK(keys(0.09, 0, true).empty()); // there were none to speak of
}

TEST_CASE("half of a bound warns, and every line reads in the order of the runs")
{
    const GateSettings settings;
    const GateReasons warned = compare_ground(ground(80, 20), ground(80, 23), false, settings);
    REQUIRE(warned.size() == 1);
    CHECK_FALSE(warned[0].holds);
    CHECK(warned[0].text == "the conifer share of the land within 30 m of the structures: 20% in "
                            "the last run, 23% now (gate.max_change is 5)");
    CHECK(compare_ground(ground(80, 20), ground(80, 22.5), false, settings).empty());
    for (const GateRule& rule : gate_rules()) {
        CAPTURE(rule.key);
        const double bound = rule.bound(settings);
        CHECK(bound > 0);
        if (rule.compare == GateRule::Compare::itself) {
            CHECK(judge(rule, 0, bound / 2, settings).empty());
            CHECK_FALSE(judge(rule, 0, 0.51 * bound, settings).at(0).holds);
            CHECK_FALSE(judge(rule, 0, bound, settings).at(0).holds);
            CHECK(judge(rule, 0, 1.01 * bound, settings).at(0).holds);
        } else {
            CHECK(judge(rule, 400, 400, settings).empty());
            const GateReasons gone = judge(rule, 400, 0, settings);
            REQUIRE(gone.size() == 1);
            CHECK(gone[0].holds);
            CHECK(gone[0].text.find("400" + std::string{rule.unit} + " in the last run, 0" +
                                    std::string{rule.unit} + " now") != std::string::npos);
        }
    }
}

TEST_CASE("nothing mapped is a reason")
{
    CHECK(require_mapped(ground(0.001, 0)).empty());
    CHECK(keys_of(require_mapped(ground(0, 0))) == Keys{"unmapped"});
}

TEST_CASE("ground is that of the rings up to each distance, summed over structures")
{
    MeasuredStructure a, b;
    a.rings = {{10, 8, 2, 0, 2}, {100, 90, 30, 0, 10}};
    b.rings = {{12, 12, 6, 0, 0}, {110, 0, 0, 0, 110}};
    RingPlan plan;
    plan.outer_m = {1.5, 10};
    plan.weight = {1, 1};
    const std::vector<SeenGround> sums = ground_of({a, b}, plan);
    REQUIRE(sums.size() == 2);
    CHECK(sums[0].within_m == 1.5);
    CHECK(sums[0].ground_m2 == 22);
    CHECK(sums[0].conifer_percent() == 40); // 8 of 20 m2
    CHECK(sums[1].ground_m2 == 232);
    CHECK(sums[1].mapped_m2 == 110);
    CHECK(sums[1].conifer_m2 == 38);
}

TEST_CASE("structures are held by their number, their ids and where they stand")
{
    const GateSettings settings; // 10 per cent
    CHECK(held_of(compare_structures(100, 110, {}, settings)).empty());
    CHECK(held_of(compare_structures(100, 90, {}, settings)).empty());
    CHECK(keys_of(compare_structures(100, 111, {}, settings)) == Keys{"structures"});
    CHECK(keys_of(compare_structures(100, 89, {}, settings)) == Keys{"structures"});
    CHECK(compare_structures(5, 7, {}, settings).empty()); // few, in a hamlet
    CHECK(keys_of(compare_structures(5, 8, {}, settings)) == Keys{"structures"});
    CHECK(compare_structures(100, 300, {}, {true, 5, 50, 400}).empty());

    const auto keys = [&](const std::function<void(std::size_t, SeenStructure&)>& change) {
        return held_of(compare_structures(10, 10, move_of(street(change)), settings));
    };
    const auto move = [](SeenStructure& s, double east_m, double north_m) {
        s.now->lon_deg += east_m / (degree_m * std::cos(50 * 3.14159265358979 / 180));
        s.now->lat_deg += north_m / degree_m;
    };
    CHECK(keys([](auto, SeenStructure&) {}).empty());
    CHECK(keys([](std::size_t k, SeenStructure& s) {
              if (k < 5)
                  s.now.reset();
          }).empty());
    CHECK(keys([](std::size_t k, SeenStructure& s) {
              if (k < 6)
                  s.now.reset();
          }) == Keys{"ids"});
    CHECK(keys([&](auto, SeenStructure& s) { move(s, 0.15, 0.12); }).empty()); // 0.192 m
    CHECK(keys([&](auto, SeenStructure& s) { move(s, 0.17, 0.12); }) ==
          Keys{"structures_shifted"}); // 0.208 m
    StructuresMove east;
    east.east_m = 3;
    east.north_m = -0.04; // and is not said to be -0.0
    east.moved_alike_percent = 100;
    CHECK(compare_structures(10, 10, east, settings).front().text.find("and 0.0 m to the north") !=
          std::string::npos);
    CHECK(keys([&](std::size_t k, SeenStructure& s) { // drawn again, each its own way
              move(s, k % 2 ? 3 : -3, static_cast<double>(k));
          })
              .empty());
    CHECK(keys([](std::size_t k, SeenStructure& s) { // numbers given again, the other way round
              s.now->lon_deg = -115 + 0.001 * static_cast<double>(9 - k);
          }) == Keys{"ids_elsewhere"});
    CHECK(move_of({}).vanished_percent == 0);
}

TEST_CASE("new codes count by the cells that rings reach, all together")
{
    const GateSettings settings; // 5 per cent
    const std::vector<std::int64_t> before{1, 5};
    const auto codes = [](std::int64_t water, std::int64_t road) {
        return std::vector<SeenCode>{
            {1, "conifer", 300}, {5, "grass", 500}, {8, "road", road}, {9, "water", water}};
    };
    CHECK(new_codes_percent(before, codes(30, 20), 1000) == 5);
    CHECK(held_of(compare_codes(before, codes(30, 20), 1000, settings)).empty());
    const GateReasons held = compare_codes(before, codes(30, 21), 1000, settings);
    CHECK(keys_of(held) == Keys{"new_codes"});
    CHECK(held[0].text.find("8 road, 9 water") != std::string::npos);
    CHECK(compare_codes(before, {{1, "conifer", 0}}, 0, settings).empty());
}
