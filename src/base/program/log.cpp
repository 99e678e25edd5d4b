// SPDX-License-Identifier: Apache-2.0

// Lines pass one function, which takes out secrets first; one lock keeps them whole. A progress
// line on a terminal is not ended, so that the next line of any kind overwrites it.
#include "base/program/log.hpp"

#include "base/redact.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include <algorithm>
#include <cstdio>

namespace fuelring {

namespace {

constexpr std::size_t examples_shown = 5;

bool on_terminal()
{
    return isatty(STDERR_FILENO) == 1;
}

std::string structured_line(std::string_view level, std::string_view text)
{
    const nlohmann::json object = {
        {"time", fmt::format("{:%FT%TZ}", fmt::gmtime(std::chrono::system_clock::to_time_t(
                                              std::chrono::system_clock::now())))},
        {"level", level},
        {"text", text}};
    return object.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

void to_stderr(std::string_view text)
{
    std::fwrite(text.data(), 1, text.size(), stderr); // nothing sensible to do if that fails
}

} // namespace

void Log::line(std::string_view level, std::string_view text, bool wanted)
{
    if (!wanted)
        return;
    const std::string open = redacted(text);
    const std::lock_guard lock{mutex_};
    if (style_.structured) {
        to_stderr(structured_line(level, open));
        return;
    }
    const std::string_view clear = transient_ ? "\r\033[K" : "";
    transient_ = false;
    const std::string prefix = level == "info" ? "" : fmt::format("{}: ", level);
    to_stderr(fmt::format("{}fuelring: {}{}\n", clear, prefix, open));
}

void Log::warn(const Warning& warning)
{
    std::string text = warning.text;
    const std::size_t shown = std::min(warning.examples.size(), examples_shown);
    for (std::size_t i = 0; i < shown; ++i)
        text += (i == 0 ? ": " : ", ") + warning.examples[i];
    if (warning.examples.size() > shown)
        text += ", ...";
    warn(std::string_view{text});
}

void Log::progress(std::string_view text)
{
    if (style_.quiet)
        return;
    if (style_.structured || !on_terminal()) {
        line("info", text, true);
        return;
    }
    const std::lock_guard lock{mutex_};
    transient_ = true;
    to_stderr(fmt::format("\r\033[Kfuelring: {}", text));
}

Progress::Progress(Log& log, std::int64_t total)
    : log_(log), total_(std::max<std::int64_t>(total, 1)),
      interval_(on_terminal() ? std::chrono::seconds{1} : std::chrono::minutes{1}),
      next_((std::chrono::steady_clock::now() + interval_).time_since_epoch().count())
{}

void Progress::advance(std::int64_t work)
{
    const std::int64_t now_done = work_ += work;
    const auto now = std::chrono::steady_clock::now();
    auto due = next_.load(std::memory_order_relaxed);
    // Of several threads that find a message due, the one that moves the mark tells it.
    if (now.time_since_epoch().count() < due ||
        !next_.compare_exchange_strong(due, (now + interval_).time_since_epoch().count()))
        return;
    log_.progress(fmt::format("{}%", std::min<std::int64_t>(100 * now_done / total_, 99)));
}

void Progress::done()
{
    if (work_ > 0 && on_terminal())
        log_.progress("100%");
}

} // namespace fuelring
