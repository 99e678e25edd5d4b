// SPDX-License-Identifier: Apache-2.0
#include "raster/small_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <stdexcept>
#include <system_error>

namespace fuelring {

std::string small_file(const std::filesystem::path& file, std::size_t most)
{
    std::error_code ignored; // what cannot be looked at cannot be opened either
    if (std::filesystem::is_directory(file, ignored))
        throw std::runtime_error{"it is a folder"};
    errno = 0;
    std::ifstream stream{file, std::ios::binary};
    if (!stream.is_open())
        throw std::runtime_error{std::strerror(errno)};
    constexpr std::size_t at_once = 1U << 16;
    std::string text;
    while (stream && text.size() <= most) {
        const std::size_t size = text.size();
        text.resize(size + std::min(at_once, most + 1 - size));
        stream.read(text.data() + size, static_cast<std::streamsize>(text.size() - size));
        text.resize(size + static_cast<std::size_t>(stream.gcount()));
    }
    if (stream.bad())
        throw std::runtime_error{std::strerror(errno)};
    if (text.size() > most)
        throw std::runtime_error{fmt::format("it has more than {} MiB", most >> 20)};
    return text;
}

} // namespace fuelring
