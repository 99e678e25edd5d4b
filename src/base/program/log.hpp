// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"

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

    /// A transient line on a terminal, cut to its width; a plain line elsewhere.
    /// Nothing where quiet.
    void progress(std::string_view text);
    bool is_quiet() const { return style_.quiet; }
    /// Whether lines of progress overwrite each other.
    bool is_transient() const;

private:
    void line(std::string_view level, std::string_view text, bool wanted);

    LogStyle style_;
    std::mutex mutex_;
    bool transient_ = false; ///< a progress line stands on the terminal
};

} // namespace fuelring
