// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <arpa/inet.h>
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <string>
#include <thread>

namespace fuelring::test {

/// A server on this machine that hangs up on everybody and counts them.
class Listener {
public:
    Listener()
    {
        sockaddr_in address = {};
        address.sin_family = AF_INET;
        address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        socklen_t size = sizeof address;
        auto* any = reinterpret_cast<sockaddr*>(&address);
        REQUIRE(bind(socket_, any, size) == 0);
        REQUIRE(listen(socket_, 16) == 0);
        REQUIRE(getsockname(socket_, any, &size) == 0);
        port_ = ntohs(address.sin_port);
        hang_up_ = std::thread{[this] {
            for (int caller; (caller = accept(socket_, nullptr, nullptr)) >= 0; ++calls_)
                close(caller);
        }};
    }
    ~Listener()
    {
        shutdown(socket_, SHUT_RDWR);
        hang_up_.join();
        close(socket_);
    }
    Listener(const Listener&) = delete;
    Listener& operator=(const Listener&) = delete;

    std::string url() const { return fmt::format("http://127.0.0.1:{}/hook", port_); }
    int calls() const { return calls_; }

private:
    int socket_ = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    int port_ = 0;
    std::atomic<int> calls_ = 0;
    std::thread hang_up_;
};

} // namespace fuelring::test
