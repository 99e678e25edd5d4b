// SPDX-License-Identifier: Apache-2.0
#include "base/small_file.hpp"

#include "base/regular_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <stdexcept>

namespace fuelring {

std::string small_file(const std::filesystem::path& file, std::size_t most)
{
    const FilePtr stream = open_regular(file);
    constexpr std::size_t at_once = 1U << 16;
    std::string text;
    // One byte more than allowed is asked for: only so a file of `most` bytes is told from a longer
    // one.
    while (text.size() <= most) {
        const std::size_t size = text.size();
        text.resize(size + std::min(at_once, most + 1 - size));
        const std::size_t wanted = text.size() - size;
        const std::size_t got = std::fread(text.data() + size, 1, wanted, stream.get());
        text.resize(size + got);
        if (got < wanted)
            break;
    }
    if (std::ferror(stream.get()) != 0)
        throw std::runtime_error{std::strerror(errno)};
    if (text.size() > most)
        throw std::runtime_error{fmt::format("it has more than {} MiB", most >> 20)};
    return text;
}

} // namespace fuelring
