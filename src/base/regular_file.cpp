// SPDX-License-Identifier: Apache-2.0
#include "base/regular_file.hpp"

#include "base/unique_fd.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>

#include <cerrno>
#include <cstring>
#include <stdexcept>

namespace fuelring {

namespace {

std::string_view special_of(mode_t mode)
{
    if (S_ISFIFO(mode))
        return "a named pipe";
    if (S_ISSOCK(mode))
        return "a socket";
    return S_ISCHR(mode) || S_ISBLK(mode) ? "a device" : std::string_view{};
}

/// Why it is no regular file; empty where it is one.
std::string why_not_regular(int fd)
{
    struct stat about {};
    if (::fstat(fd, &about) != 0)
        return std::strerror(errno);
    if (S_ISREG(about.st_mode))
        return {};
    return S_ISDIR(about.st_mode) ? std::string{"it is a folder"}
                                  : fmt::format("it is {}, no file", special_of(about.st_mode));
}

} // namespace

std::string_view special_file(const std::filesystem::path& path)
{
    struct stat about {};
    return ::stat(path.c_str(), &about) == 0 ? special_of(about.st_mode) : std::string_view{};
}

FilePtr open_regular(const std::filesystem::path& file)
{
    if (const std::string_view special = special_file(file); !special.empty())
        throw std::runtime_error{fmt::format("it is {}, no file", special)};
    // What takes the file's place from here on is not waited for either.
    UniqueFd fd{::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY)};
    if (!fd)
        throw std::runtime_error{std::strerror(errno)};
    if (const std::string reason = why_not_regular(fd.get()); !reason.empty())
        throw std::runtime_error{reason};
    // Owned twice for a moment: a stream that cannot be made leaves the descriptor with its first
    // owner.
    FilePtr opened{::fdopen(fd.get(), "rb")};
    if (!opened)
        throw std::runtime_error{std::strerror(errno)};
    fd.release();
    return opened;
}

} // namespace fuelring
