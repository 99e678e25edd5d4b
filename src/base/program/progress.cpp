// SPDX-License-Identifier: Apache-2.0

// Workers only count; one thread composes lines and says them, so that lines come in the order of
// what they say, and a terminal that has been stopped holds up nobody's work.
#include "base/program/progress.hpp"

#include "base/grouped.hpp"
#include "base/program/log.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <system_error>
#include <utility>

namespace fuelring {

namespace {

using Seconds = std::chrono::seconds;

constexpr std::chrono::milliseconds on_a_terminal{250};
constexpr Seconds in_a_log{10};
constexpr int most_before_done = 99;
// A guess from less than that is worth nothing.
constexpr double least_share = 0.05;
constexpr double least_worked_s = 2;
constexpr std::int64_t minute_s = 60;

std::string in_words(Seconds time)
{
    const std::int64_t minutes = time.count() / minute_s;
    if (minutes == 0)
        return fmt::format("{} s", time.count());
    if (minutes < minute_s)
        return fmt::format("{} min {} s", minutes, time.count() % minute_s);
    return fmt::format("{} h {} min", minutes / minute_s, minutes % minute_s);
}

/// As finely as a guess deserves.
std::string about(Seconds time)
{
    constexpr std::int64_t coarse_from_s = 10;
    constexpr std::int64_t step_s = 5;
    constexpr std::int64_t minutes_from_s = 90;
    const std::int64_t s = std::max<std::int64_t>(time.count(), 1);
    if (s <= coarse_from_s)
        return fmt::format("{} s", s);
    if (s < minutes_from_s)
        return fmt::format("{} s", (s + step_s - 1) / step_s * step_s);
    const std::int64_t minutes = (s + minute_s / 2) / minute_s;
    return minutes < minute_s ? fmt::format("{} min", minutes)
                              : fmt::format("{} h {} min", minutes / minute_s, minutes % minute_s);
}

} // namespace

std::string progress_line(const ProgressView& view)
{
    std::string text = view.percent ? fmt::format("{}%, ", *view.percent) : std::string{};
    text += view.phase.doing;
    if (!view.phase.things.empty())
        text += fmt::format(" {} of {} {}", grouped(view.things), grouped(view.phase.count),
                            view.phase.things);
    text += ", " + in_words(view.elapsed);
    if (view.remaining)
        text += fmt::format(", about {} to go", about(*view.remaining));
    return text;
}

Progress::Progress(Log& log)
    : Progress(log.is_quiet() ? Say{} : Say{[&log](std::string_view text) { log.progress(text); }},
               log.is_transient() ? on_a_terminal : std::chrono::milliseconds{in_a_log},
               log.is_transient())
{}

Progress::Progress(Say say, std::chrono::milliseconds every, bool always_ends)
    : say_(std::move(say)), every_(every), always_ends_(always_ends)
{
    if (!say_)
        return;
    try {
        teller_ = std::thread{[this] { tell(); }};
    } catch (const std::system_error&) {
        say_ = {}; // a run without news is better than none
    }
}

Progress::~Progress()
{
    stop();
}

void Progress::tell()
{
    std::unique_lock lock{mutex_};
    while (!ended_.wait_for(lock, every_, [this] { return stopped_; })) {
        if (phase_.doing.empty())
            continue;
        told_ = true;
        const std::string text = line();
        lock.unlock();
        say_(text);
        lock.lock();
    }
}

void Progress::stop()
{
    {
        const std::lock_guard lock{mutex_};
        stopped_ = true;
    }
    ended_.notify_all();
    if (teller_.joinable())
        teller_.join();
}

void Progress::expect(std::int64_t work)
{
    const std::lock_guard lock{mutex_};
    total_ += work;
}

void Progress::begin(Phase phase)
{
    const std::lock_guard lock{mutex_};
    finished_ += phase_.work;
    phase_ = std::move(phase);
    things_ = 0;
    if (phase_.work > 0 && !work_start_)
        work_start_ = Clock::now();
}

void Progress::advance(std::int64_t things)
{
    const std::lock_guard lock{mutex_};
    things_ = std::min(things_ + things, phase_.count);
}

void Progress::beside(std::int64_t work)
{
    const std::lock_guard lock{mutex_};
    finished_ += work;
}

void Progress::done()
{
    stop();
    if (say_ && (told_ || always_ends_))
        say_(fmt::format("100%, {}",
                         in_words(std::chrono::duration_cast<Seconds>(Clock::now() - start_))));
}

double Progress::work_done() const
{
    const double share =
        phase_.count > 0 ? static_cast<double>(things_) / static_cast<double>(phase_.count) : 0;
    return static_cast<double>(finished_) + share * static_cast<double>(phase_.work);
}

std::string Progress::line()
{
    const Clock::time_point now = Clock::now();
    ProgressView view;
    view.phase = phase_;
    view.things = things_;
    view.elapsed = std::chrono::duration_cast<Seconds>(now - start_);
    if (total_ == 0)
        return progress_line(view);
    const double share = std::min(work_done() / static_cast<double>(total_), 1.0);
    percent_ = std::max(percent_, std::min(static_cast<int>(100 * share), most_before_done));
    view.percent = percent_;
    const double worked_s =
        work_start_ ? std::chrono::duration<double>(now - *work_start_).count() : 0;
    if (share >= least_share && share < 1 && worked_s >= least_worked_s)
        view.remaining = Seconds{std::llround(std::ceil(worked_s * (1 - share) / share))};
    return progress_line(view);
}

} // namespace fuelring
