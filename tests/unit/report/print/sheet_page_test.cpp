// SPDX-License-Identifier: Apache-2.0
#include "report/print/sheets.hpp"
#include "report/words/sheet_words.hpp"
#include "run/report/sheet_text_in.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <stdexcept>
#include <string>

using namespace fuelring;
using namespace fuelring::report;

namespace {

const std::filesystem::path page_texts = FUELRING_TEXTS;
const RunFacts run{"Tamarack Bend", "2024-07-15", "fuelring", 272, 10};

/// A square home of ten metres with the usual rings, half of each under conifers, on ground of
/// `owners` owners in equal parts.
HomeSheet home(std::size_t owners = 3)
{
    HomeSheet sheet;
    HomeFigures& figures = sheet.figures;
    figures.address = "Kestrel Lane 1";
    figures.structure_id = "TB-0291";
    figures.exposure = 50;
    figures.exposure_cleared = 15; // half of what lies beyond 10 m, with weights of 0.2 and 0.1
    figures.rank = 1;
    figures.nearest_conifer_m = 1.25;
    const Footprint square{{{{-5, -5}, {5, -5}, {5, 5}, {-5, 5}}}};
    sheet.plan.home = square.loops;
    for (std::size_t k = 0; k < owners; ++k)
        figures.owners.push_back(k == 0 ? "own" : "class " + std::to_string(k));
    double from_m = 0;
    for (const double to_m : {1.5, 10.0, 30.0, 100.0}) {
        RingFigures ring{from_m, to_m, 100, 0.5, 0.25, 0, {}};
        ring.conifer_m2_of_owner.assign(owners, 100 / static_cast<double>(owners));
        figures.rings.push_back(ring);
        sheet.plan.lines.push_back({to_m, outline_within(square, to_m)});
        from_m = to_m;
    }
    sheet.plan.reach = {{{-105, -105}, {105, -105}, {105, 105}, {-105, 105}}};
    sheet.plan.cells = {{-105, 105}, 1, 1, 210, 210, std::vector<std::uint16_t>(210 * 210, 5000)};
    sheet.plan.cells.share.front() = MapCells::unmapped;
    return sheet;
}

std::string pdf_of(const HomeSheet& sheet, Paper paper, const SheetText& text)
{
    std::string bytes;
    write_sheets([&](std::string_view part) { bytes += part; }, paper, 1,
                 [&](std::size_t) { return sheet; }, run, text);
    return bytes;
}

bool says(const std::vector<std::string>& said, std::string_view words)
{
    return std::any_of(said.begin(), said.end(),
                       [&](const std::string& s) { return s.find(words) != s.npos; });
}

std::vector<std::string> advice_of(const SheetWords& words)
{
    std::vector<std::string> items;
    for (const auto* blocks : {&words.advice.own, &words.advice.everyone})
        for (const AdviceBlock& block : *blocks)
            items.insert(items.end(), block.items.begin(), block.items.end());
    return items;
}

} // namespace

TEST_CASE("every home fits one page: long addresses, any script, many owners, every advice")
{
    std::string hebrew;
    while (hebrew.size() < 300)
        hebrew += "רחוב האורנים ";
    HomeSheet crowded = home(40);
    crowded.figures.roof_canopy_m2 = 3;
    crowded.figures.down_factor = 2.5;
    crowded.figures.neighbourhood = std::string(200, 'n');
    for (RingFigures& ring : crowded.figures.rings)
        ring.unmapped_frac = 0.2;
    for (const char* name : {"english.toml", "french.toml"}) {
        const SheetText text = load_sheet_text(page_texts / name);
        for (const Paper paper : {paper_a4, paper_letter})
            for (const std::string& address :
                 {std::string(300, 'W'), hebrew, std::string{"\xff\n<b>&amp;"}, std::string{}}) {
                crowded.figures.address = address;
                CAPTURE(address);
                CHECK_NOTHROW(pdf_of(crowded, paper, text));
            }
    }
}

TEST_CASE("the same home gives the same bytes")
{
    const SheetText text = english_sheet_text();
    const std::string first = pdf_of(home(), paper_a4, text);
    CHECK(first.rfind("%PDF-", 0) == 0);
    CHECK((pdf_of(home(), paper_a4, text) == first));
}

TEST_CASE("a text that is too long for a page is refused, and a full disk is passed on")
{
    SheetText text = english_sheet_text();
    text.cautions.assign(400, "Many words that nobody will read to the end.");
    CHECK_THROWS_AS(pdf_of(home(), paper_a4, text), DoesNotFit);
    const auto full = [](std::string_view) { throw std::runtime_error{"no space left"}; };
    CHECK_THROWS_WITH(
        write_sheets(
            full, paper_a4, 1, [](std::size_t) { return home(); }, run, english_sheet_text()),
        "no space left");
}

TEST_CASE("a sheet says what its home's figures call for, and nothing else")
{
    const SheetText text = english_sheet_text();
    HomeFigures figures = home().figures;
    SUBCASE("conifers at the wall")
    {
        const auto advice = advice_of(words_for(figures, run, text));
        CHECK(says(advice, "Conifers grow within 1.5"));
        CHECK(says(advice, "conifers cover 200"));
        CHECK(says(advice, "133\u00a0m² are on land that is not yours")); // 2 of 3 owners
        CHECK(!says(advice, "No conifers are mapped"));
        CHECK(!says(advice, "branches over the roof"));
        CHECK(!says(advice, "not mapped"));
        const std::vector<std::string> job = advice_for(figures, run, text).job;
        CHECK(says(job, "Clear the 200\u00a0m² of conifers within 10\u00a0m"));
        CHECK(says(job, "from 50.0 to 15.0 out of 100"));
        CHECK(says(job, "133\u00a0m² are on land that is not yours"));
        CHECK(!says(job, "not mapped"));
    }
    SUBCASE("so few conifers that the gain rounds to nothing")
    {
        figures.exposure_cleared = 49.98;
        const std::vector<std::string> job = advice_for(figures, run, text).job;
        CHECK(says(job, "stays at about 50.0"));
        CHECK(!says(job, "to 50.0"));
    }
    SUBCASE("no conifers as far as the near distance")
    {
        figures.rings[0].conifer_m2 = figures.rings[1].conifer_m2 = 0;
        for (RingFigures& ring : figures.rings)
            ring.conifer_m2_of_owner.assign(3, 0);
        const SheetWords words = words_for(figures, run, text);
        CHECK(says(words.stands, "From 0 to 1.5\u00a0m from the wall there are no conifers"));
        CHECK(says(advice_of(words), "No conifers are mapped within 10"));
        CHECK(says(words.ground, "Conifers within 10\u00a0m: none."));
        CHECK(!says(advice_of(words), "Remove, prune"));
        CHECK(says(words.advice.job, "No conifers are mapped within 10"));
        CHECK(!says(words.advice.job, "out of 100"));
        figures.roof_canopy_m2 = 3;
        CHECK(says(advice_for(figures, run, text).job, "branches over the roof (3"));
    }
    SUBCASE("ground that is not mapped is never said to be clear")
    {
        figures.exposure.reset();
        for (RingFigures& ring : figures.rings)
            ring = {ring.from_m, ring.to_m, 0, {}, {}, 1, {0, 0, 0}};
        figures.nearest_conifer_m.reset();
        const SheetWords words = words_for(figures, run, text);
        CHECK(says(words.stands, "From 1.5 to 10\u00a0m from the wall the land is not mapped"));
        CHECK(says(words.stands, "No overall value can be given"));
        CHECK(!says(words.stands, "No conifers are mapped"));
        CHECK(says(words.ground, "Conifers within 10\u00a0m: unknown"));
        CHECK(!says(words.ground, "none"));
        CHECK(says(advice_of(words), "Check it yourself"));
        CHECK(!says(advice_of(words), "No conifers are mapped"));
        CHECK(says(words.advice.job, "is not mapped: look there yourself"));
        CHECK(!says(words.advice.job, "No conifers"));
        CHECK(words.advice.job.size() == 1);
    }
    SUBCASE("this home's items come first, and the source of most is told once")
    {
        SheetText two = text;
        two.sources["town"] = "The town's bylaw.";
        two.advice.front().items.front().source = "town";
        const SheetAdvice advice = advice_for(figures, run, two);
        REQUIRE(advice.own.size() == 1);
        CHECK(advice.own.front().items.size() == 4); // wall, near, others, beyond
        CHECK(advice.own.front().items.front().ends_with("¹"));
        CHECK(advice.own.front().items.back().find("¹") == std::string::npos);
        CHECK(advice.everyone.size() == 4);
        CHECK(advice.sources.find("Common practice; no published source. ¹ The town's bylaw.") !=
              std::string::npos);
    }
    SUBCASE("what is there but rounds to nothing is less than one")
    {
        figures.rings[0].conifer_m2 = 0.2;
        figures.rings[0].conifer_frac = 0.004;
        CHECK(says(words_for(figures, run, text).stands, "cover <1\u00a0m² (<1% of"));
    }
}
