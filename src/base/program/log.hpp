// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"

#include <atomic>
#include <chrono>
#include <cstdint>
#include <mutex>
#include <string>
#include <string_view>

namespace fuelring {

/// How a run speaks to people. Everything goes to stderr; stdout is for data.
struct LogStyle {
    bool quiet = false;      ///< warnings and errors only
    bool structured = false; ///< one JSON object a line: time, level, text; details as well
    bool verbose = false;    ///< details of what was read and how
};

/// Lines on stderr, without the secrets of connection strings. Safe to use from several threads.
class Log {
public:
    explicit Log(LogStyle style) : style_(style) {}

    void info(std::string_view text) { line("info", text, !style_.quiet); }
    /// What run.json says as well: files, coordinate systems, environment, reuse, limits.
    void detail(std::string_view text)
    {
        line("info", text, !style_.quiet && (style_.verbose || style_.structured));
    }
    void warn(std::string_view text) { line("warning", text, true); }
    void error(std::string_view text) { line("error", text, true); }
    /// "12 addresses have no structure: Larch Way 1, Larch Way 3, ...": count and the first few.
    void warn(const Warning& warning);

    /// A transient line on a terminal, a plain line elsewhere.
    /// Nothing where quiet.
    void progress(std::string_view text);

private:
    void line(std::string_view level, std::string_view text, bool wanted);

    LogStyle style_;
    std::mutex mutex_;
    bool transient_ = false; ///< a progress line stands on the terminal
};

/// Progress by work done over all stages: at most once a second on a terminal, once a minute in a
/// log. 100 % is said by `done`, when the outputs are in place.
/// Threads: advance() may be called from several. The log must outlive it.
class Progress {
public:
    /// `total` and `work` are in one unit, of the caller's choice.
    Progress(Log& log, std::int64_t total);
    void advance(std::int64_t work);
    /// Says 100 % on a terminal, where any work was done; nothing elsewhere.
    void done();

private:
    Log& log_;
    std::int64_t total_;
    std::chrono::steady_clock::duration interval_;
    std::atomic<std::int64_t> work_ = 0;
    std::atomic<std::chrono::steady_clock::rep> next_;
};

} // namespace fuelring
