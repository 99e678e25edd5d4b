// SPDX-License-Identifier: Apache-2.0
#include "run/signals.hpp"

#include <fuelring/error.hpp>

#include <unistd.h>

#include <atomic>
#include <chrono>
#include <cstddef>
#include <cstring>
#include <ctime>

namespace fuelring {

namespace {

// The mutable globals of the program: a signal handler can reach nothing else.
std::atomic<int> first_signal{0};
std::atomic<bool> sees_it_through{false};
std::atomic<bool> writes_json{false};
static_assert(std::atomic<int>::is_always_lock_free && std::atomic<bool>::is_always_lock_free,
              "a signal handler may not wait");

int exit_code_of(int signal)
{
    return static_cast<int>(signal == SIGINT ? Failure::interrupted : Failure::terminated);
}

extern "C" void note_signal(int number)
{
    int none = 0;
    if (first_signal.compare_exchange_strong(none, number))
        ::alarm(SignalWatch::patience_s);
}

void put_digits(char* at, unsigned value, int count)
{
    for (int k = count - 1; k >= 0; --k, value /= 10)
        at[k] = static_cast<char>('0' + value % 10);
}

/// The line of Log, by calls that a signal handler may make.
void say_at_once()
{
    char plain[] =
        "fuelring: error: stopped by a signal, before the work in hand had ended; earlier "
        "outputs are untouched\n";
    char json[] = R"({"time":"0000-00-00T00:00:00Z","level":"error","text":"stopped by a signal, )"
                  R"(before the work in hand had ended; earlier outputs are untouched"})"
                  "\n";
    timespec now{};
    ::clock_gettime(CLOCK_REALTIME, &now);
    const std::chrono::sys_seconds seconds{std::chrono::seconds{now.tv_sec}};
    const auto day = std::chrono::floor<std::chrono::days>(seconds);
    const std::chrono::year_month_day date{day};
    const std::chrono::hh_mm_ss time{seconds - day};
    char* const at = json + std::strlen(R"({"time":")");
    put_digits(at, static_cast<unsigned>(static_cast<int>(date.year())), 4);
    put_digits(at + 5, static_cast<unsigned>(date.month()), 2);
    put_digits(at + 8, static_cast<unsigned>(date.day()), 2);
    put_digits(at + 11, static_cast<unsigned>(time.hours().count()), 2);
    put_digits(at + 14, static_cast<unsigned>(time.minutes().count()), 2);
    put_digits(at + 17, static_cast<unsigned>(time.seconds().count()), 2);
    const char* const line = writes_json ? json : plain;
    [[maybe_unused]] const auto written = ::write(STDERR_FILENO, line, std::strlen(line));
}

extern "C" void end_at_once(int)
{
    if (sees_it_through)
        return;
    say_at_once();
    ::_exit(exit_code_of(first_signal));
}

} // namespace

SignalWatch::SignalWatch(bool structured)
{
    first_signal = 0;
    sees_it_through = false;
    writes_json = structured;
    for (std::size_t k = 0; k < std::size(watched); ++k) {
        ::sigaction(watched[k], nullptr, &before_[k]);
        const bool stops = watched[k] == SIGINT || watched[k] == SIGTERM;
        struct sigaction action {};
        action.sa_flags = SA_RESTART; // writes go on; the flag is looked at between them
        action.sa_handler = SIG_IGN;
        if (stops && before_[k].sa_handler != SIG_IGN)
            action.sa_handler = note_signal;
        else if (watched[k] == SIGALRM)
            action.sa_handler = end_at_once;
        ::sigaction(watched[k], &action, nullptr);
    }
}

SignalWatch::~SignalWatch()
{
    ::alarm(0);
    for (std::size_t k = 0; k < std::size(watched); ++k)
        ::sigaction(watched[k], &before_[k], nullptr);
}

int SignalWatch::stop_signal() noexcept
{
    return first_signal.load();
}

void SignalWatch::see_it_through() noexcept
{
    sees_it_through = true;
}

void stop_if_asked()
{
    if (const int signal = SignalWatch::stop_signal())
        throw Error{static_cast<Failure>(exit_code_of(signal)),
                    "stopped by a signal; earlier outputs are untouched"};
}

} // namespace fuelring
