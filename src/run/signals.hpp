// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <csignal>

namespace fuelring {

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

    /// The number of the first SIGINT or SIGTERM, or 0. Lock-free, for any thread.
    static int stop_signal() noexcept;

    /// From here on the work is seen through, however long it takes after a signal: a new set is
    /// about to take the place of the old one.
    static void see_it_through() noexcept;

private:
    static constexpr int watched[] = {SIGINT, SIGTERM, SIGALRM, SIGXFSZ, SIGPIPE};
    struct sigaction before_[5] = {};
};

/// Throws: Error{interrupted} or Error{terminated} after SIGINT or SIGTERM.
void stop_if_asked();

} // namespace fuelring
