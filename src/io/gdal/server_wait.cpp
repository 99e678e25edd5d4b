// SPDX-License-Identifier: Apache-2.0

// A watch that counts steps. The worker counts one up whenever something came; the watching thread
// looks at the count some twenty times within the patience, and ends the process where it has not
// moved for all of it. It does not wait for the worker, which sits in a call that nothing can break
// off.
#include "io/gdal/server_wait.hpp"

#include <cpl_conv.h>
#include <fmt/format.h>
#include <strings.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <mutex>
#include <stop_token>
#include <string_view>
#include <thread>

namespace fuelring {

namespace {

using Clock = std::chrono::steady_clock;

constexpr std::array<std::string_view, 8> databases{
    "PG:", "postgresql:", "MySQL:", "MSSQL:", "OCI:", "ODBC:", "HANA:", "MongoDBv3:"};
constexpr double least_patience_s = 1;

bool is_database(const std::string& path)
{
    return std::any_of(databases.begin(), databases.end(), [&](std::string_view prefix) {
        return ::strncasecmp(path.c_str(), prefix.data(), prefix.size()) == 0;
    });
}

/// Set by the program before any thread starts.
std::function<void(const Error&)>& ending()
{
    static std::function<void(const Error&)> end;
    return end;
}

} // namespace

double server_patience_s()
{
    return std::max(least_patience_s, CPLAtof(CPLGetConfigOption("GDAL_HTTP_TIMEOUT", "60")));
}

/// The thread that looks at the clock, until it is destroyed.
class ServerWait::Watch {
public:
    Watch(std::string path, std::string key)
        : path_(std::move(path)), key_(std::move(key)),
          thread_([this](const std::stop_token& done) { watch(done); })
    {}

    std::atomic<std::uint64_t> steps = 0;

private:
    void watch(const std::stop_token& done) const
    {
        const std::chrono::duration<double> patience{server_patience_s()};
        constexpr int looks = 20;
        std::uint64_t seen = 0;
        auto since = Clock::now();
        std::mutex guard;
        std::condition_variable_any stopped;
        std::unique_lock lock{guard};
        while (!stopped.wait_for(lock, done, patience / looks,
                                 [&] { return done.stop_requested(); })) {
            const std::uint64_t now = steps;
            if (now != seen) {
                seen = now;
                since = Clock::now();
            } else if (Clock::now() - since >= patience) {
                end(patience.count());
            }
        }
    }

    [[noreturn]] void end(double waited_s) const
    {
        const Error error{Failure::input, fmt::format("the server was silent for {:g} s", waited_s),
                          path_,
                          fmt::format("look at the server and the network of {}.path; "
                                      "GDAL_HTTP_TIMEOUT in the environment gives it more time",
                                      key_)};
        if (ending())
            ending()(error);
        std::_Exit(error.exit_code());
    }

    const std::string path_;
    const std::string key_;
    std::jthread thread_; ///< last: it uses the others
};

ServerWait::ServerWait(const std::string& path, const std::string& key)
{
    if (is_database(path))
        watch_ = std::make_unique<Watch>(path, key);
}

ServerWait::~ServerWait() = default;

void ServerWait::progress()
{
    if (watch_)
        ++watch_->steps;
}

void ServerWait::end_by(std::function<void(const Error&)> end)
{
    ending() = std::move(end);
}

} // namespace fuelring
