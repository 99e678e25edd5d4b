// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <cstring>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

namespace fuelring {

/// Numbers and texts one behind the other, as this machine holds them: for digests and for results
/// that the same program on the same machine reads again. Doubles keep all their bits.
class ByteWriter {
public:
    template <typename T>
    void put(T value)
    {
        static_assert(std::is_arithmetic_v<T> || std::is_enum_v<T>, "structs have padding");
        bytes_.append(reinterpret_cast<const char*>(&value), sizeof value);
    }
    void put_text(std::string_view text)
    {
        put(static_cast<std::uint64_t>(text.size()));
        bytes_ += text;
    }
    template <typename T>
    void put_all(const std::vector<T>& values)
    {
        put(static_cast<std::uint64_t>(values.size()));
        for (const T& value : values)
            put(value);
    }
    template <typename T>
    void put_if(const std::optional<T>& value)
    {
        put(value.has_value());
        if (value)
            put(*value);
    }
    const std::string& bytes() const { return bytes_; }

private:
    std::string bytes_;
};

/// Reads what ByteWriter wrote. Throws: std::out_of_range where there is less than is asked for.
class ByteReader {
public:
    explicit ByteReader(std::string_view bytes) : bytes_(bytes) {}

    template <typename T>
    void get(T& value)
    {
        if constexpr (std::is_same_v<T, bool>) {
            char byte = 0;
            get(byte);
            value = byte != 0;
        } else {
            static_assert(std::is_arithmetic_v<T> || std::is_enum_v<T>);
            require(sizeof value);
            std::memcpy(&value, bytes_.data(), sizeof value);
            bytes_.remove_prefix(sizeof value);
        }
    }
    template <typename T>
    void get_all(std::vector<T>& values)
    {
        std::uint64_t size = 0;
        get(size);
        if (size > bytes_.size()) // each takes a byte at least
            throw std::out_of_range{"a kept result is too short"};
        values.resize(static_cast<std::size_t>(size));
        for (T& value : values)
            get(value);
    }
    template <typename T>
    void get_if(std::optional<T>& value)
    {
        bool there = false;
        get(there);
        value.reset();
        if (there)
            get(value.emplace());
    }
    /// What put_text wrote, as long as the bytes live.
    std::string_view text()
    {
        std::uint64_t size = 0;
        get(size);
        require(size);
        const std::string_view found = bytes_.substr(0, static_cast<std::size_t>(size));
        bytes_.remove_prefix(found.size());
        return found;
    }
    bool at_end() const { return bytes_.empty(); }

private:
    void require(std::uint64_t size) const
    {
        if (bytes_.size() < size)
            throw std::out_of_range{"a kept result is too short"};
    }
    std::string_view bytes_;
};

} // namespace fuelring
