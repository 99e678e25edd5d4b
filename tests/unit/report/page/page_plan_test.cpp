// SPDX-License-Identifier: Apache-2.0

// What the page tells of years: a plan of several, what its constraints cost, and how mean exposure
// went.
#include "report/page/page.hpp"
#include "unit/report/picture.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace fuelring;
using namespace fuelring::test;

namespace {

RunPicture town_with_few()
{
    std::vector<Home> homes;
    add(homes, 6, "North", 5);
    add(homes, 6, "South", 12);
    add(homes, 2, "Far Bank", 30);
    return picture_of({"North", "South", "Far Bank"}, homes);
}

bool page_has(const std::string& page, const std::string& words)
{
    return page.find(words) != page.npos;
}

} // namespace

TEST_CASE("mean exposure over the years: neighbourhoods for the office, the community for all")
{
    RunPicture picture = town_with_few();
    picture.history = {
        {texts("imagery_date", {"2022-07-01", "2022-07-01", "2026-07-10", "2026-07-10"}),
         texts("method", {"m", "m", "m", "m"}),
         texts("neighbourhood", {"Far Bank", "(community)", "Far Bank", "(community)"}),
         numbers("mean_exposure", {31.27, 6.14, 30.5, 5.43})},
        4};
    const std::string page = report_page(picture, {}, false);
    CHECK(page_has(page, "Between imagery of 2022-07-01 and of 2026-07-10, mean exposure of all "
                         "buildings fell from 6.1 to 5.4."));
    CHECK(page_has(page, "31.3"));
    const std::string open = report_page(picture, {}, true);
    CHECK(page_has(open, "fell from 6.1 to 5.4."));
    CHECK(!page_has(open, "31.3")); // two homes: their mean of any year shows them
    CHECK(!page_has(open, "31.27"));
    CHECK(!page_has(open, "Far Bank"));
    picture.history.columns[0].texts.assign(4, "2026-07-10");
    CHECK(!page_has(report_page(picture, {}, false), "Over the years"));
}

TEST_CASE("a plan of several years stands year by year, and each constraint with its price")
{
    RunPicture picture = town_with_few();
    picture.treatment.emplace();
    picture.manifest["treatment"] = {{"units", 12},
                                     {"conifer_ha", 1.5},
                                     {"exposure_removed", 50},
                                     {"share_of_exposure_removed", 0.25},
                                     {"sum_exposure_before", 200},
                                     {"settings",
                                      {{"smallest_m2", 10},
                                       {"regrowth_per_year", 0.05},
                                       {"strips", {{"width_m", 12}, {"least_length_m", 30}}}}},
                                     {"years",
                                      {{{"year", 2027},
                                        {"budget", 1},
                                        {"units", 8},
                                        {"conifer_ha", 0.9},
                                        {"exposure_lower_by", 30}},
                                       {{"year", 2028},
                                        {"budget", 0.5},
                                        {"units", 4},
                                        {"conifer_ha", 0.4},
                                        {"exposure_lower_by", 48}}}},
                                     {"constraints",
                                      {{{"constraint", "treat.declined.owners"},
                                        {"name", "sawpit trust"},
                                        {"exposure_removed_without", 60}},
                                       {{"constraint", "treat.costs"},
                                        {"name", "slope and road"},
                                        {"exposure_removed_without", 55}},
                                       {{"constraint", "treat.limits"},
                                        {"name", "floor of 20 points for Far Bank"},
                                        {"exposure_removed_without", 51}}}}};
    const std::string page = report_page(picture, {}, false);
    CHECK(page_has(page, "<bdi>2027</bdi></th><td>8</td><td>0.90</td><td>1.00</td><td>15.0%</td>"));
    CHECK(page_has(page, "<bdi>2028</bdi></th><td>4</td><td>0.40</td><td>0.50</td><td>24.0%</td>"));
    CHECK(page_has(page,
                   "<bdi>declined land of sawpit trust</bdi></th><td>30.0%</td><td>25.0%</td>"));
    CHECK(page_has(page,
                   "<bdi>floor of 20 points for Far Bank</bdi></th><td>25.5%</td><td>25.0%</td>"));
    CHECK(page_has(page, "<bdi>limits of methods by slope and road</bdi></th><td>27.5%</td>"));
    CHECK(page_has(page, "grow back by 5% a year"));
    CHECK(page_has(page, "strips 12\u00a0m wide and at least 30\u00a0m long"));
    const std::string open = report_page(picture, {}, true);
    CHECK(page_has(open, "The plan by year"));
    CHECK(!page_has(open, "sawpit trust")); // who declined is nobody's business
    CHECK(!page_has(open, "Far Bank"));
}
