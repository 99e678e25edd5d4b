// SPDX-License-Identifier: Apache-2.0

// A handler only notes the number and starts the clock of patience; the work looks at the number
// between two steps (stop_if_asked) and throws. All that a handler calls is safe in one (POSIX,
// async-signal-safe functions): write, alarm, clock_gettime, _exit and lock-free atomics. So the
// last line is put together by hand.
#include "base/program/signals.hpp"

#include <fuelring/error.hpp>

#include <unistd.h>

#include <atomic>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <ctime>
#include <string>

namespace fuelring {

namespace {

// The mutable globals of the program: a signal handler can reach nothing else.
std::atomic<int> first_signal{0};
std::atomic<bool> sees_it_through{false};
std::atomic<bool> writes_json{false};
static_assert(std::atomic<int>::is_always_lock_free && std::atomic<bool>::is_always_lock_free,
              "a signal handler may not wait");

Failure failure_of(int signal)
{
    switch (signal) {
    case SIGINT:
        return Failure::interrupted;
    case SIGALRM:
        return Failure::out_of_time;
    default:
        return Failure::terminated;
    }
}

extern "C" void note_signal(int number)
{
    int none = 0;
    if (first_signal.compare_exchange_strong(none, number))
        ::alarm(SignalWatch::patience_s);
}

constexpr const char* by_signal = "stopped by a signal";
constexpr const char* by_time = "the time that run.minutes gives is over";

/// A line in the making, by calls that a signal handler may make.
class LastLine {
public:
    void add(const char* text)
    {
        for (; *text != '\0' && size_ < sizeof text_; ++text)
            text_[size_++] = *text;
    }
    void add(unsigned value, int digits)
    {
        char text[8] = {};
        for (int k = digits - 1; k >= 0; --k, value /= 10)
            text[k] = static_cast<char>('0' + value % 10);
        add(text);
    }
    void write() const
    {
        [[maybe_unused]] const auto written = ::write(STDERR_FILENO, text_, size_);
    }

private:
    char text_[256] = {};
    std::size_t size_ = 0;
};

/// As Log has it: 2026-11-27T06:05:04Z.
void add_time(LastLine& line)
{
    timespec now{};
    ::clock_gettime(CLOCK_REALTIME, &now);
    const std::chrono::sys_seconds seconds{std::chrono::seconds{now.tv_sec}};
    const auto day = std::chrono::floor<std::chrono::days>(seconds);
    const std::chrono::year_month_day date{day};
    const std::chrono::hh_mm_ss time{seconds - day};
    line.add(static_cast<unsigned>(static_cast<int>(date.year())), 4);
    line.add("-");
    line.add(static_cast<unsigned>(date.month()), 2);
    line.add("-");
    line.add(static_cast<unsigned>(date.day()), 2);
    line.add("T");
    line.add(static_cast<unsigned>(time.hours().count()), 2);
    line.add(":");
    line.add(static_cast<unsigned>(time.minutes().count()), 2);
    line.add(":");
    line.add(static_cast<unsigned>(time.seconds().count()), 2);
    line.add("Z");
}

/// The line of Log.
void say_at_once()
{
    LastLine line;
    if (writes_json) {
        line.add(R"({"time":")");
        add_time(line);
        line.add(R"(","level":"error","text":")");
    } else {
        line.add("fuelring: error: ");
    }
    line.add(first_signal == SIGALRM ? by_time : by_signal);
    line.add(", before the work in hand had ended; earlier outputs are untouched");
    line.add(writes_json ? "\"}\n" : "\n");
    line.write();
}

/// Either the time that the run has is over, or the patience after another signal.
extern "C" void take_alarm(int number)
{
    if (first_signal == 0)
        return note_signal(number);
    // No second alarm is set: the work ends by itself from here on.
    if (sees_it_through)
        return;
    say_at_once();
    ::_exit(static_cast<int>(failure_of(first_signal)));
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
        // Also where SIGINT or SIGTERM was ignored before: nohup asked for that.
        action.sa_handler = SIG_IGN;
        if (stops && before_[k].sa_handler != SIG_IGN)
            action.sa_handler = note_signal;
        else if (watched[k] == SIGALRM)
            action.sa_handler = take_alarm;
        ::sigaction(watched[k], &action, nullptr);
    }
}

SignalWatch::~SignalWatch()
{
    ::alarm(0);
    for (std::size_t k = 0; k < std::size(watched); ++k)
        ::sigaction(watched[k], &before_[k], nullptr);
}

void SignalWatch::end_after(double minutes) noexcept
{
    ::alarm(static_cast<unsigned>(std::ceil(60 * minutes)));
}

int SignalWatch::stop_signal() noexcept
{
    return first_signal.load();
}

void SignalWatch::see_it_through() noexcept
{
    sees_it_through = true;
}

Error SignalWatch::stopped_by(int signal)
{
    const bool late = signal == SIGALRM;
    return {failure_of(signal),
            std::string{late ? by_time : by_signal} + "; earlier outputs are untouched",
            {},
            late ? "find out what takes so long, or give run.minutes more" : ""};
}

void stop_if_asked()
{
    if (const int signal = SignalWatch::stop_signal())
        throw SignalWatch::stopped_by(signal);
}

} // namespace fuelring
