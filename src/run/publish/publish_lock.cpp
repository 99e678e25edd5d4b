// SPDX-License-Identifier: Apache-2.0
#include "run/publish/publish_lock.hpp"

#include "base/program/durable_file.hpp"

#include <fcntl.h>
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <ctime>
#include <string>
#include <string_view>
#include <utility>

namespace fuelring {

namespace {

constexpr std::size_t longest_holder = 300;

/// Opened for reading too, since flock needs no more: the file may belong to another user.
UniqueFd open_lock(const std::filesystem::path& file)
{
    constexpr int flags = O_CLOEXEC | O_NOFOLLOW; // a child that inherits the lock would keep it
    UniqueFd fd{::open(file.c_str(), O_RDWR | O_CREAT | flags, 0666)};
    return fd || errno != EACCES ? std::move(fd) : UniqueFd{::open(file.c_str(), O_RDONLY | flags)};
}

std::string holder_of(int fd)
{
    std::array<char, longest_holder> text{};
    const ssize_t got = ::pread(fd, text.data(), text.size(), 0);
    std::string_view line{text.data(), got > 0 ? static_cast<std::size_t>(got) : 0};
    line = line.substr(0, line.find('\n'));
    return line.empty() ? "its process is not known" : std::string{line};
}

void write_holder(int fd)
{
    std::array<char, 256> host{};
    ::gethostname(host.data(), host.size() - 1);
    const std::string line = fmt::format("pid {} on {} since {:%Y-%m-%dT%H:%M:%SZ}\n", ::getpid(),
                                         host.data(), fmt::gmtime(std::time(nullptr)));
    // Only a hint for the message: a full disk fails where it matters.
    [[maybe_unused]] const bool written =
        ::ftruncate(fd, 0) == 0 && ::pwrite(fd, line.data(), line.size(), 0) > 0;
}

} // namespace

FolderLock::FolderLock(const std::filesystem::path& lock_file, const std::filesystem::path& out)
    : fd_{open_lock(lock_file)}
{
    if (!fd_)
        throw output_error("the lock file next to the output folder cannot be made", lock_file,
                           errno);
    int failed = 0;
    while ((failed = ::flock(fd_.get(), LOCK_EX | LOCK_NB) == 0 ? 0 : errno) == EINTR)
        continue;
    if (failed == 0) {
        write_holder(fd_.get());
        return;
    }
    if (failed == EWOULDBLOCK)
        throw Error{Failure::locked,
                    "another run is using this output folder: " + holder_of(fd_.get()),
                    out.string(), "wait until it ends; its lock goes with it"};
    throw output_error("the output folder cannot be locked", lock_file, failed);
}

} // namespace fuelring
