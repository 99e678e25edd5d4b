// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <csignal>

namespace fuelring {

/// While one of these lives, SIGINT and SIGTERM are only noted, and SIGXFSZ and SIGPIPE are
/// ignored, so that a limit on file size or a closed pipe is an error of the call that met it.
/// SIGINT or SIGTERM that was ignored at the start (nohup, a job in the background) stays ignored.
/// One at a time in a process.
class SignalWatch {
public:
    SignalWatch();
    ~SignalWatch(); ///< the handlers of before
    SignalWatch(const SignalWatch&) = delete;
    SignalWatch& operator=(const SignalWatch&) = delete;

    /// The number of the first SIGINT or SIGTERM, or 0. Lock-free, for any thread.
    static int stop_signal() noexcept;

private:
    static constexpr int watched[] = {SIGINT, SIGTERM, SIGXFSZ, SIGPIPE};
    struct sigaction before_[4] = {};
};

/// Throws: Error{interrupted} or Error{terminated} after SIGINT or SIGTERM.
void stop_if_asked();

} // namespace fuelring
