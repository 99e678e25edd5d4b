// SPDX-License-Identifier: Apache-2.0
#include "run/signals.hpp"

#include <fuelring/error.hpp>

#include <atomic>
#include <cstddef>

namespace fuelring {

namespace {

// The one mutable global of the program: a signal handler can reach nothing else.
std::atomic<int> first_signal{0};
static_assert(std::atomic<int>::is_always_lock_free, "a signal handler may not wait");

extern "C" void note_signal(int number)
{
    int none = 0;
    first_signal.compare_exchange_strong(none, number);
}

} // namespace

SignalWatch::SignalWatch()
{
    first_signal = 0;
    for (std::size_t k = 0; k < std::size(watched); ++k) {
        ::sigaction(watched[k], nullptr, &before_[k]);
        const bool stops = watched[k] == SIGINT || watched[k] == SIGTERM;
        struct sigaction action {};
        action.sa_flags = SA_RESTART; // writes go on; the flag is looked at between them
        action.sa_handler = stops && before_[k].sa_handler != SIG_IGN ? note_signal : SIG_IGN;
        ::sigaction(watched[k], &action, nullptr);
    }
}

SignalWatch::~SignalWatch()
{
    for (std::size_t k = 0; k < std::size(watched); ++k)
        ::sigaction(watched[k], &before_[k], nullptr);
}

int SignalWatch::stop_signal() noexcept
{
    return first_signal.load();
}

void stop_if_asked()
{
    if (const int signal = SignalWatch::stop_signal())
        throw Error{signal == SIGINT ? Failure::interrupted : Failure::terminated,
                    "stopped by a signal; earlier outputs are untouched"};
}

} // namespace fuelring
