// SPDX-License-Identifier: Apache-2.0

// Strict in both ways. iconv counts the characters that it had to replace by others, and any such
// count is a failure here as an error is. At the end the state of the encoding is flushed, since
// some encodings close with bytes of their own.
#include "io/vector/text_encoding.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <array>
#include <cerrno>

namespace fuelring {

namespace {

/// iconv's handle; null where it does not know one of the names.
void* open_converter(const std::string& from, const std::string& to)
{
    const iconv_t handle = iconv_open(to.c_str(), from.c_str());
    return handle == reinterpret_cast<iconv_t>(-1) ? nullptr : handle;
}

std::optional<std::string> converted(iconv_t converter, std::string_view text)
{
    iconv(converter, nullptr, nullptr, nullptr, nullptr); // as if nothing had been read before
    std::string result;
    std::array<char, 256> room;
    char* from = const_cast<char*>(text.data()); // iconv's signature; it does not write there
    std::size_t left = text.size();
    for (;;) {
        char* to = room.data();
        std::size_t free = room.size();
        const bool flush = left == 0;
        const std::size_t irreversible = flush ? iconv(converter, nullptr, nullptr, &to, &free)
                                               : iconv(converter, &from, &left, &to, &free);
        result.append(room.data(), to);
        const bool full = irreversible == static_cast<std::size_t>(-1) && errno == E2BIG;
        if (!full && irreversible != 0)
            return std::nullopt;
        if (flush && !full)
            return result;
    }
}

} // namespace

TextEncoding::TextEncoding(const std::string& name, const std::string& where) : name_{name}
{
    if (name.find('/') == name.npos) { // a suffix such as //IGNORE would lose characters
        to_utf8_.reset(open_converter(name, "UTF-8"));
        from_utf8_.reset(open_converter("UTF-8", name));
    }
    if (!to_utf8_ || !from_utf8_)
        throw Error{Failure::usage, fmt::format("'{}' is not a text encoding", name), where,
                    "write a name such as \"ISO-8859-1\" or \"WINDOWS-1252\"; iconv -l lists them"};
}

std::optional<std::string> TextEncoding::to_utf8(std::string_view text) const
{
    return converted(to_utf8_.get(), text);
}

std::optional<std::string> TextEncoding::from_utf8(std::string_view text) const
{
    return converted(from_utf8_.get(), text);
}

} // namespace fuelring
