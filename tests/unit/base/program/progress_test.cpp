// SPDX-License-Identifier: Apache-2.0
#include "base/program/progress.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

using namespace fuelring;
using namespace std::chrono_literals;

namespace {

/// Keeps what it is told.
class Listener {
public:
    Progress::Say ear()
    {
        return [this](std::string_view line) {
            const std::lock_guard lock{mutex_};
            lines_.emplace_back(line);
        };
    }
    std::vector<std::string> lines() const
    {
        const std::lock_guard lock{mutex_};
        return lines_;
    }
    /// Waits for a line that begins so.
    bool hears(std::string_view beginning) const
    {
        for (int tries = 0; tries < 5000; ++tries) {
            for (const std::string& line : lines())
                if (line.starts_with(beginning))
                    return true;
            std::this_thread::sleep_for(1ms);
        }
        return false;
    }

private:
    mutable std::mutex mutex_;
    std::vector<std::string> lines_;
};

/// Of lines that have one, in order.
std::vector<int> percents(const std::vector<std::string>& lines)
{
    std::vector<int> all;
    for (const std::string& line : lines)
        if (const std::size_t at = line.find('%'); at != line.npos)
            all.push_back(std::stoi(line.substr(0, at)));
    return all;
}

} // namespace

TEST_CASE("a line says what is done, how much of it, since when, and how long it may take")
{
    struct Case {
        std::string_view why;
        ProgressView view;
        std::string_view line;
    };
    const Phase measuring{"measuring", "structures", 25'000, 4};
    const Case cases[] = {
        {"all of it",
         {measuring, 12'400, 44, 8s, 10s},
         "44%, measuring 12,400 of 25,000 structures, 8 s, about 10 s to go"},
        {"nothing to count",
         {{"writing tables"}, 0, 83, 125s, 14s},
         "83%, writing tables, 2 min 5 s, about 15 s to go"},
        {"too early to know", {{"reading inputs"}, 0, {}, 3s, {}}, "reading inputs, 3 s"},
        {"hours",
         {{"publishing"}, 0, 1, 3900s, 7500s},
         "1%, publishing, 1 h 5 min, about 2 h 5 min to go"},
        {"a guess is no finer than it can be",
         {{"publishing"}, 0, 1, 60s, 619s},
         "1%, publishing, 1 min 0 s, about 10 min to go"}};
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(progress_line(c.view) == c.line);
    }
}

TEST_CASE("percentages rise from phase to phase and are 100 at the end only")
{
    Listener listener;
    Progress progress{listener.ear(), 1ms, true};
    progress.begin({"reading inputs"});
    CHECK(listener.hears("reading inputs, 0 s"));
    progress.expect(100);
    progress.begin({"measuring", "structures", 10, 40});
    progress.advance(5);
    CHECK(listener.hears("20%, measuring 5 of 10 structures, 0 s"));
    SUBCASE("what a phase left out counts when the next begins")
    {
        progress.begin({"publishing", {}, 0, 60});
        CHECK(listener.hears("40%, publishing"));
    }
    SUBCASE("more things than were promised are not more than all of them")
    {
        progress.advance(50);
        CHECK(listener.hears("40%, measuring 10 of 10 structures"));
        progress.beside(1000);
        CHECK(listener.hears("99%, measuring"));
    }
    SUBCASE("more work than was expected takes nothing back")
    {
        progress.expect(1000);
        progress.advance(1);
        CHECK(listener.hears("20%, measuring 6 of 10 structures"));
    }
    progress.done();
    const std::vector<std::string> lines = listener.lines();
    const std::vector<int> told = percents(lines);
    CHECK(std::is_sorted(told.begin(), told.end()));
    CHECK(lines.back() == "100%, 0 s");
    CHECK(std::count(told.begin(), told.end(), 100) == 1);
}

TEST_CASE("many threads that advance make no percentage fall")
{
    Listener listener;
    constexpr int threads = 8;
    constexpr int each = 20'000;
    Progress progress{listener.ear(), 1ms, true};
    progress.expect(2);
    for (const char* phase : {"measuring", "uniting"}) {
        progress.begin({phase, "structures", threads * each, 1});
        std::vector<std::thread> workers;
        for (int k = 0; k < threads; ++k)
            workers.emplace_back([&progress] {
                for (int i = 0; i < each; ++i)
                    progress.advance();
            });
        for (std::thread& worker : workers)
            worker.join();
        CHECK(listener.hears(phase == std::string_view{"measuring"} ? "50%" : "99%"));
    }
    progress.done();
    const std::vector<int> told = percents(listener.lines());
    CHECK(told.size() > 3);
    CHECK(std::is_sorted(told.begin(), told.end()));
    CHECK(told.back() == 100);
}

TEST_CASE("a run that is over before a line was due says nothing in a log")
{
    Listener listener;
    {
        Progress progress{listener.ear(), 1h, false};
        progress.expect(1);
        progress.begin({"measuring", "structures", 1, 1});
        progress.advance();
        progress.done();
    }
    CHECK(listener.lines().empty());
}

TEST_CASE("a run that ends early says no 100 %")
{
    Listener listener;
    {
        Progress progress{listener.ear(), 1ms, true};
        progress.expect(1);
        progress.begin({"measuring", "structures", 1, 1});
        progress.advance();
        CHECK(listener.hears("99%"));
    }
    CHECK(percents(listener.lines()).back() == 99);
}
