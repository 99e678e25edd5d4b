// SPDX-License-Identifier: Apache-2.0
#include "base/program/signals.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cmath>
#include <ctime>
#include <string>
#include <utility>

using namespace fuelring;

TEST_CASE("the first stop signal is noted, and the handlers of before come back")
{
    struct sigaction before {};
    ::sigaction(SIGTERM, nullptr, &before);
    {
        struct sigaction plain {};
        plain.sa_handler = SIG_DFL;
        ::sigaction(SIGTERM, &plain, nullptr);
        ::sigaction(SIGINT, &plain, nullptr);
        const SignalWatch watch;
        CHECK(SignalWatch::stop_signal() == 0);
        ::raise(SIGTERM);
        ::raise(SIGINT);
        ::raise(SIGPIPE);
        CHECK(SignalWatch::stop_signal() == SIGTERM);
    }
    struct sigaction after {};
    ::sigaction(SIGTERM, nullptr, &after);
    CHECK((after.sa_handler == SIG_DFL));
    ::sigaction(SIGTERM, &before, nullptr);
}

TEST_CASE("the time that a run has ends it as a signal does, with its own exit code")
{
    const SignalWatch watch;
    SignalWatch::end_after(0.001); // alarms count whole seconds
    for (int tries = 0; tries < 300 && SignalWatch::stop_signal() == 0; ++tries)
        ::usleep(10'000);
    CHECK(SignalWatch::stop_signal() == SIGALRM);
    try {
        stop_if_asked();
        FAIL("it goes on");
    } catch (const Error& e) {
        CHECK(e.exit_code() == 7);
        CHECK(e.message().find("the time that run.minutes gives is over") == 0);
    }
}

TEST_CASE("work that does not end after a stop signal is ended, unless it is to be seen through")
{
    struct Child {
        pid_t id;
        int errors; ///< the reading end of its stderr
    };
    const auto start = [](int signal, bool structured, bool seen_through) {
        int ends[2];
        REQUIRE(::pipe(ends) == 0);
        const pid_t id = ::fork();
        if (id == 0) {
            struct sigaction plain {};
            plain.sa_handler = SIG_DFL;
            ::sigaction(SIGINT, &plain, nullptr);
            ::sigaction(SIGTERM, &plain, nullptr);
            ::dup2(ends[1], STDERR_FILENO);
            const SignalWatch watch{structured};
            if (seen_through)
                SignalWatch::see_it_through();
            if (signal == SIGALRM)
                SignalWatch::end_after(1. / 60);
            else
                ::raise(signal);
            const auto end = std::chrono::steady_clock::now() +
                             std::chrono::milliseconds{signal == SIGALRM ? 5700 : 4700};
            while (std::chrono::steady_clock::now() < end)
                ::usleep(10'000); // a signal wakes it, and it goes on
            ::_exit(seen_through ? 0 : 1);
        }
        ::close(ends[1]);
        return Child{id, ends[0]};
    };
    const auto ended = [](const Child& child) {
        std::string said;
        for (char letter = 0; ::read(child.errors, &letter, 1) == 1;)
            said += letter;
        ::close(child.errors);
        int status = 0;
        ::waitpid(child.id, &status, 0);
        return std::pair{WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status), said};
    };
    const auto began = std::chrono::steady_clock::now();
    const Child stopped = start(SIGTERM, false, false);
    const Child structured = start(SIGINT, true, false);
    const Child seen_through = start(SIGTERM, false, true);
    const Child late = start(SIGALRM, false, false);
    const auto [code, said] = ended(stopped);
    CHECK(std::chrono::steady_clock::now() - began < std::chrono::seconds{5});
    CHECK(code == 143);
    CHECK(said.starts_with("fuelring: error: stopped by a signal, before"));
    CHECK(said.ends_with("untouched\n"));
    const auto [code_of_json, json] = ended(structured);
    CHECK(code_of_json == 130);
    const auto line = nlohmann::json::parse(json);
    CHECK(line.at("level") == "error");
    CHECK(line.at("text").get<std::string>().starts_with("stopped by a signal, before"));
    std::tm time{};
    const std::string written = line.at("time");
    REQUIRE(::strptime(written.c_str(), "%Y-%m-%dT%H:%M:%SZ", &time) != nullptr);
    CHECK(std::abs(std::difftime(::timegm(&time), std::time(nullptr))) < 60);
    CHECK((ended(seen_through) == std::pair{0, std::string{}}));
    const auto [code_of_late, said_late] = ended(late);
    CHECK(code_of_late == 7);
    CHECK(
        said_late.starts_with("fuelring: error: the time that run.minutes gives is over, before"));
}

TEST_CASE("a stop signal that was ignored at the start stays ignored")
{
    struct sigaction ignore {
    }, before{};
    ignore.sa_handler = SIG_IGN;
    ::sigaction(SIGINT, &ignore, &before);
    {
        const SignalWatch watch;
        ::raise(SIGINT);
        CHECK(SignalWatch::stop_signal() == 0);
    }
    ::sigaction(SIGINT, &before, nullptr);
}
