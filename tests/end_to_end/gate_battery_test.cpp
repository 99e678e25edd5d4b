// SPDX-License-Identifier: Apache-2.0

// Deliveries that the gate holds and deliveries that it lets pass, by the real program, as the
// manual lists them.
#include "gate_village.hpp"
#include "messages.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

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

} // namespace

TEST_CASE("wrong deliveries are held, and named by what --accept takes")
{
    Village village;
    CHECK(wrong_deliveries().size() >= 40);
    std::vector<MessageRow> unseen = messages_of_manual("## Messages of the gate");
    for (const BatteryCase& c : wrong_deliveries()) {
        CAPTURE(c.kind);
        CAPTURE(c.what);
        Delivery delivery;
        c.act(delivery);
        const ProgramResult run = village.map(delivery);
        INFO(run.err);
        CHECK(run.exit_code == 6);
        CHECK(run.said("the input check stopped this run: "));
        CHECK(run.said("--accept " + c.kind));
        CHECK_FALSE(run.said("which this run does not have"));       // none took an input away
        CHECK(gate_of(village.out()).at("compared_with").is_null()); // the good run stays
        unseen.erase(std::remove_if(unseen.begin(), unseen.end(),
                                    [&](const MessageRow& row) { return is_said(run.err, row); }),
                     unseen.end());
    }
    for (const MessageRow& row : unseen)
        FAIL_CHECK("the manual has a message that no delivery brings about: " << row.message);
}

TEST_CASE("plausible deliveries pass")
{
    Village village;
    CHECK(plausible_deliveries().size() >= 40);
    for (const BatteryCase& c : plausible_deliveries()) {
        CAPTURE(c.kind);
        CAPTURE(c.what);
        Delivery delivery;
        c.act(delivery);
        const ProgramResult run = village.map(delivery);
        INFO(run.err);
        CHECK(run.exit_code == 0);
        CHECK(gate_of(village.out()).at("accepted").empty());
        CHECK(gate_of(village.out()).at("compared_with").at("generation") == 1);
    }
}

TEST_CASE("the manual lists every delivery of the battery")
{
    const std::string page = text_of(GATE_PAGE);
    CHECK(page.find("| kind | what was wrong |\n|---|---|\n" + rows_of(wrong_deliveries()) +
                    "\n") != std::string::npos);
    CHECK(page.find("| kind | what is new |\n|---|---|\n" + rows_of(plausible_deliveries())) !=
          std::string::npos);
}
