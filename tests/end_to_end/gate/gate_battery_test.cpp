// SPDX-License-Identifier: Apache-2.0

// Deliveries that the gate holds and deliveries that it lets pass, by the real program, as the
// manual lists them.
#include "end_to_end/messages.hpp"
#include "gate_village.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <functional>

using namespace fuelring::test;

namespace {

std::string rows_of(const std::vector<BatteryCase>& cases)
{
    std::string rows;
    for (const BatteryCase& c : cases)
        rows += fmt::format("| `{}` | {} |\n", c.kind, c.what);
    return rows;
}

/// All parts of a message, in their order; of several findings only the first begins the line.
bool is_said(const std::string& text, const MessageRow& row)
{
    std::size_t at = 0;
    for (std::string word : row.words()) {
        if (const std::string head = "the input check stopped this run: "; word.rfind(head, 0) == 0)
            word.erase(0, head.size());
        at = text.find(word, at);
        if (at == std::string::npos)
            return false;
        at += word.size();
    }
    return true;
}

nlohmann::json gate_of(const fs::path& out)
{
    return nlohmann::json::parse(text_of(out / "run.json")).at("gate");
}

/// Maps each delivery, and lets `judge` look at how that ended.
void map_each(
    const std::vector<BatteryCase>& cases,
    const std::function<void(const BatteryCase&, const Village&, const ProgramResult&)>& judge)
{
    Village village;
    CHECK(cases.size() >= 40);
    for (const BatteryCase& c : cases) {
        CAPTURE(c.kind);
        CAPTURE(c.what);
        Delivery delivery;
        c.act(delivery);
        const ProgramResult run = village.map(delivery);
        INFO(run.err);
        judge(c, village, run);
    }
}

} // namespace

TEST_CASE("wrong deliveries are held, and named by what --accept takes")
{
    std::vector<MessageRow> unseen = messages_of_manual("## Messages of the input check");
    map_each(wrong_deliveries(), [&](const BatteryCase& c, const Village& village,
                                     const ProgramResult& run) {
        CHECK(run.exit_code == 6);
        CHECK(run.said("the input check stopped this run: "));
        CHECK(run.said("--accept " + c.kind));
        CHECK_FALSE(run.said("which this run does not have"));       // none took an input away
        CHECK(gate_of(village.out()).at("compared_with").is_null()); // the good run stays
        unseen.erase(std::remove_if(unseen.begin(), unseen.end(),
                                    [&](const MessageRow& row) { return is_said(run.err, row); }),
                     unseen.end());
    });
    for (const MessageRow& row : unseen)
        FAIL_CHECK("the manual has a message that no delivery brings about: " << row.message);
}

TEST_CASE("plausible deliveries pass")
{
    map_each(plausible_deliveries(),
             [](const BatteryCase&, const Village& village, const ProgramResult& run) {
                 CHECK(run.exit_code == 0);
                 CHECK(gate_of(village.out()).at("accepted").empty());
                 CHECK(gate_of(village.out()).at("compared_with").at("generation") == 1);
             });
}

TEST_CASE("the manual lists every delivery of the battery")
{
    const std::string page = text_of(GATE_PAGE);
    CHECK(page.find("| kind | what was wrong |\n|---|---|\n" + rows_of(wrong_deliveries()) +
                    "\n") != std::string::npos);
    CHECK(page.find("| kind | what is new |\n|---|---|\n" + rows_of(plausible_deliveries())) !=
          std::string::npos);
}
