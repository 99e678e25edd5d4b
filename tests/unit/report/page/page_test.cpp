// SPDX-License-Identifier: Apache-2.0
#include "report/page/page.hpp"
#include "unit/report/picture.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

using namespace fuelring;
using namespace fuelring::test;

namespace {

RunPicture town()
{
    std::vector<Home> homes;
    add(homes, 6, "North </script><b>", 5);
    add(homes, 6, "South", 12);
    return picture_of({"North </script><b>", "South"}, homes);
}

/// A comparison in which `added` homes are in the later run only.
PictureChange change_with(int added)
{
    PictureChange change;
    change.manifest = {
        {"counts",
         {{"exposure",
           {{"fell", 7},
            {"unknown", 0},
            {"fell_by_a_point_or_more", 6},
            {"rose", 3},
            {"rose_by_a_point_or_more", 0}}}}},
        {"exposure", {{"structures", 12}, {"sum_before", 1471.54}, {"sum_after", 1268.61}}},
        {"method", "It cost 3400."},
        {"method_for_public", "It was cheap."},
        {"cause_sentences", {"Both runs read one raster."}}};
    change.areas = {{texts("scope", {"community"}), texts("name", {"all"}),
                     texts("distance", {"within_10m"}), numbers("conifer_before_ha", {0.77}),
                     numbers("conifer_after_ha", {0.66}), numbers("removed_ha", {0.22}),
                     numbers("regrown_ha", {0.11}), numbers("ground_ha", {5}),
                     numbers("compared_ha", {5})},
                    1};
    std::vector<std::string> ids;
    std::vector<double> was, is, by;
    for (int k = 0; k < 10 + added; ++k) {
        ids.push_back("H" + std::to_string(k));
        was.push_back(k < 10 ? 5 : std::nan(""));
        is.push_back(4);
        by.push_back(k < 10 ? -1 : std::nan(""));
    }
    change.homes = {{texts("status", ids), texts("address", ids), texts("structure_id", ids),
                     texts("neighbourhood", ids), numbers("exposure_before", was),
                     numbers("exposure_after", is), numbers("exposure_change", by),
                     numbers("rank_before", was), numbers("rank_after", is)},
                    ids.size()};
    return change;
}

std::size_t times(const std::string& text, const std::string& part)
{
    std::size_t n = 0;
    for (std::size_t at = text.find(part); at != text.npos; at = text.find(part, at + part.size()))
        ++n;
    return n;
}

} // namespace

TEST_CASE("the page's first heading is a sentence with the community's figures")
{
    const std::string page = report_page(town(), {}, false);
    CHECK(page.find("<h1>6 of 12 buildings have conifers within 10\u00a0m.</h1>") != page.npos);
    for (const bool for_public : {false, true}) {
        const std::string said = report_page(town(), {}, for_public);
        CHECK(
            said.find("It is not a probability of ignition, and a low figure does not mean a home "
                      "is safe. A high figure is not a verdict on an owner, and not a price for "
                      "insurance.") != said.npos);
    }
}

TEST_CASE("homes that nobody measured are not homes without conifers")
{
    std::vector<Home> homes;
    add(homes, 6, "North", 12);
    add(homes, 5, "North", 1);
    add(homes, 8, "North", std::nan(""));
    add(homes, 1, "South", 50);
    add(homes, 3, "South", std::nan(""));
    RunPicture picture = picture_of({"North", "South"}, homes);
    picture.manifest["counts"]["flags"]["partly_unmapped"] = 3;
    for (const bool for_public : {false, true}) {
        const std::string page = report_page(picture, {}, for_public);
        CHECK(page.find("<h1>7 of 12 buildings have conifers within 10\u00a0m, 11 more are "
                        "unknown.</h1>") != page.npos);
        CHECK(page.find("12 of 23 buildings are measured, 3 of them partly unmapped.") !=
              page.npos);
    }
    const std::string page = report_page(picture, {}, false);
    CHECK(page.find("<td>11 of 19</td><td>6 of 11</td>") != page.npos);
    CHECK(page.find("<td>1 of 4</td><td>1 of 1</td>") != page.npos);
}

TEST_CASE("where all is measured the page says only what is partly unmapped")
{
    RunPicture picture = town();
    CHECK(report_page(picture, {}, false).find("is partly unmapped") == std::string::npos);
    picture.manifest["counts"]["flags"]["partly_unmapped"] = 3;
    const std::string page = report_page(picture, {}, false);
    CHECK(page.find("The land around 3 of 12 buildings is partly unmapped.") != page.npos);
    CHECK(page.find("12 of 12") == page.npos);
}

TEST_CASE("maps are framed on the homes that are measured, or else on all")
{
    std::vector<Home> homes{{"North", 5}, {"North", 6}, {"North", std::nan("")}};
    RunPicture picture = picture_of({"North"}, homes);
    const auto house = [](double x) {
        return PictureShape{{{x, 0}, {x + 10, 0}, {x + 10, 10}, {x, 10}}};
    };
    picture.structures.shapes = {house(0), house(100), house(90000)};
    const std::vector<std::size_t> all{0, 1, 2};
    CHECK(box_of_measured(picture.structures, all).max.x == 110);
    const std::vector<std::size_t> stray{2};
    CHECK(box_of_measured(picture.structures, stray).min.x == 90000);
}

TEST_CASE("names from data end no script and open no tag")
{
    for (const bool for_public : {false, true}) {
        const std::string page = report_page(town(), {}, for_public);
        // The data, Leaflet, our own; of the office also what stands below.
        CHECK(times(page, "</script>") == (for_public ? 3 : 4));
        CHECK(page.find("North </script>") == page.npos);
        CHECK(page.find("North &lt;/script&gt;&lt;b&gt;") != page.npos);
        CHECK(page.find("North \\u003c/script>\\u003cb>") != page.npos);
    }
}

TEST_CASE(
    "the policy comes first, forbids all but hashes and pictures of data, and no line is CRLF")
{
    const std::string page = report_page(town(), {}, false);
    const std::size_t policy = page.find("default-src 'none'; script-src 'sha256-");
    CHECK(policy != page.npos);
    CHECK(policy < page.find("<style>"));
    CHECK(times(page, "'sha256-") >= 4);
    CHECK(page.find("unsafe") == page.npos);
    CHECK(page.find('\r') == page.npos);
}

TEST_CASE("the same run gives the same page, and a public one holds no home")
{
    CHECK(report_page(town(), {}, false) == report_page(town(), {}, false));
    const std::string page = report_page(town(), {}, true);
    CHECK(page.find("\"H3\"") == page.npos);
    CHECK(report_page(town(), {}, false).find("\"H3\"") != page.npos);
}

TEST_CASE("a fall of exposure that no conifer brought about is told apart from one that they did")
{
    RunPicture picture = town();
    picture.change = change_with(0);
    nlohmann::json& sums = picture.change->manifest["exposure"];
    const std::string apart = "points have other causes";
    sums["sum_change_by_fuel"] = -202.93;
    sums["sum_change_otherwise"] = 0.0004; // not a tenth of a point
    CHECK(report_page(picture, {}, false).find(apart) == std::string::npos);

    sums["sum_change_by_fuel"] = -98.12;
    sums["sum_change_otherwise"] = -104.81;
    for (const bool for_public : {false, true}) {
        CAPTURE(for_public);
        const std::string page = report_page(picture, {}, for_public);
        CHECK(page.find("−98.1 points come from conifers lost or gained on land mapped in both "
                        "years; −104.8 " +
                        apart) != std::string::npos);
    }
}

TEST_CASE("where two runs know no ground in common, what was removed is unknown and not none")
{
    RunPicture picture = town();
    picture.change = change_with(0);
    picture.change->areas.columns.back().numbers = {0}; // compared_ha
    const std::string page = report_page(picture, {}, false);
    CHECK(page.find("<td>0.77</td><td>–</td><td>–</td><td>0.66</td><td>5.00</td>") != page.npos);
}

TEST_CASE("what changed is told with its causes, and to the public so that no home follows from it")
{
    RunPicture picture = town();
    for (const int added : {0, 1, 4, 5}) {
        CAPTURE(added);
        picture.change = change_with(added);
        for (const bool for_public : {false, true}) {
            CAPTURE(for_public);
            const std::string page = report_page(picture, {}, for_public);
            const auto says = [&page](const char* words) { return page.find(words) != page.npos; };
            // The sums of both runs, taken off this run's published total, are those added.
            const bool withheld = for_public && (added == 1 || added == 4);
            CHECK(says("total exposure fell from 1,471.5 to 1,268.6.") == !withheld);
            CHECK(says("<td>0.77</td>") == !withheld);
            CHECK(says("<td>0.66</td>") == !withheld);
            CHECK(says("A few buildings are in only one of the runs") == withheld);
            CHECK(says("<td>0.22</td>"));
            CHECK(
                says("Exposure fell for 7 buildings (6 by a point or more) and rose for 3 (0).") ==
                !for_public);
            CHECK(says("and rose for fewer than 5 (0).") == for_public);
            CHECK(says("It cost 3400.") == !for_public);
            CHECK(says("<strong>Both runs read one raster.</strong>"));
        }
    }
}
