// SPDX-License-Identifier: Apache-2.0

// Lines pass one function, which takes out secrets first; one lock keeps them whole. A progress
// line on a terminal is not ended, so that the next line of any kind overwrites it.
#include "base/program/log.hpp"

#include "base/redact.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>

namespace fuelring {

namespace {

constexpr std::size_t examples_shown = 5;

bool on_terminal()
{
    return isatty(STDERR_FILENO) == 1;
}

std::size_t width_of_terminal()
{
    constexpr std::size_t usual = 80;
    winsize size = {};
    const bool known = ioctl(STDERR_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 1;
    return known ? size.ws_col : usual;
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
    if (!is_transient()) {
        line("info", text, true);
        return;
    }
    std::string whole = fmt::format("fuelring: {}", text);
    whole.resize(std::min(whole.size(), width_of_terminal() - 1)); // a second row would stay
    const std::lock_guard lock{mutex_};
    transient_ = true;
    to_stderr("\r\033[K" + whole);
}

bool Log::is_transient() const
{
    return !style_.structured && on_terminal();
}

} // namespace fuelring
