// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <csignal>

namespace fuelring {

class Error;

/// While one of these lives, SIGINT and SIGTERM are noted, for the work to end in good order, and
/// SIGXFSZ and SIGPIPE are ignored, so that a limit on file size or a closed pipe is an error of
/// the call that met it. Where the work has not ended `patience_s` after the signal (it may wait
/// for a server that does not answer), the process ends as it is, with the exit code of the signal:
/// what it had staged is cleared away by the next run, as after SIGKILL. SIGINT or SIGTERM that was
/// ignored at the start (nohup, a job in the background) stays ignored. One at a time in a process.
class SignalWatch {
public:
    static constexpr unsigned patience_s = 4; ///< an operator is promised 5

    /// `structured`: the last line on stderr is a JSON object, as LogStyle has it.
    explicit SignalWatch(bool structured = false);
    ~SignalWatch(); ///< the handlers of before
    SignalWatch(const SignalWatch&) = delete;
    SignalWatch& operator=(const SignalWatch&) = delete;

    /// After so many minutes (rounded up to seconds) the work is to end, as after a signal.
    static void end_after(double minutes) noexcept;

    /// The number of the first SIGINT or SIGTERM, SIGALRM where the time of `end_after` was over
    /// before, or 0. Lock-free, for any thread.
    static int stop_signal() noexcept;

    /// What to throw when `stop_signal` returned this number.
    static Error stopped_by(int signal);

    /// From here on the work is seen through, however long it takes after a signal: a new set is
    /// about to take the place of the old one.
    static void see_it_through() noexcept;

private:
    static constexpr int watched[] = {SIGINT, SIGTERM, SIGALRM, SIGXFSZ, SIGPIPE};
    struct sigaction before_[5] = {};
};

/// Throws: Error{interrupted}, Error{terminated} or Error{out_of_time} after SIGINT, SIGTERM, or
/// the time of SignalWatch::end_after.
void stop_if_asked();

} // namespace fuelring
