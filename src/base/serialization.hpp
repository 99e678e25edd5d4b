// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <cstring>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

namespace fuelring {

// Writer and reader take the same calls, so that one function lists the members of a record for
// both ways (run/cache/cache_records.hpp):
//     template <typename Bytes>
//     void archive(Bytes& bytes, Archived<Bytes, Place> p) { bytes(p.name, p.height_m); }

/// Numbers and texts one behind the other, as this machine holds them: for digests and for results
/// that the same program on the same machine reads again. Doubles keep all their bits.
/// Layout: a number is its bytes in the machine's own order. A list is the number of its elements
/// (64 bits) and then each; a text likewise, with its bytes. An optional value is a bool, and then
/// the value where there is one.
class ByteWriter {
public:
    /// What archive functions ask, to make room before they read.
    static constexpr bool reads = false;

    template <typename... T>
    void operator()(const T&... values)
    {
        (put(values), ...);
    }
    /// Without their number, which the reader knows.
    void each(std::span<const double> values)
    {
        for (const double value : values)
            put(value);
    }
    template <typename T>
    void put(const T& value)
    {
        static_assert(std::is_arithmetic_v<T> || std::is_enum_v<T>, "structs have padding");
        bytes_.append(reinterpret_cast<const char*>(&value), sizeof value);
    }
    template <typename T>
    void put(const std::vector<T>& values)
    {
        put(static_cast<std::uint64_t>(values.size()));
        for (const T& value : values)
            put(value);
    }
    template <typename T>
    void put(const std::optional<T>& value)
    {
        put(value.has_value());
        if (value)
            put(*value);
    }
    /// Bytes as they are, NUL among them.
    void put_text(std::string_view text)
    {
        put(static_cast<std::uint64_t>(text.size()));
        bytes_ += text;
    }
    const std::string& bytes() const { return bytes_; }

private:
    std::string bytes_;
};

/// Reads what ByteWriter wrote. Throws: std::out_of_range where there is less than is asked for.
/// Law: the calls that wrote, made again in their order, give the same values bit for bit and end
/// at at_end(). Bytes have no types in them: calls in another order read nonsense.
/// Requires: the bytes outlive the reader.
class ByteReader {
public:
    static constexpr bool reads = true;

    explicit ByteReader(std::string_view bytes) : bytes_(bytes) {}

    template <typename... T>
    void operator()(T&... values)
    {
        (get(values), ...);
    }
    /// As many as the span takes: the caller knows their number.
    void each(std::span<double> values)
    {
        for (double& value : values)
            get(value);
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
    /// False at the end of a record tells that more was written than is read.
    bool at_end() const { return bytes_.empty(); }

private:
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
    void get(std::vector<T>& values)
    {
        std::uint64_t size = 0;
        get(size);
        require(size); // each takes a byte at least
        values.resize(static_cast<std::size_t>(size));
        for (T& value : values)
            get(value);
    }
    /// Reset first, so that a record may be filled again.
    template <typename T>
    void get(std::optional<T>& value)
    {
        bool there = false;
        get(there);
        value.reset();
        if (there)
            get(value.emplace());
    }
    void require(std::uint64_t size) const
    {
        if (bytes_.size() < size)
            throw std::out_of_range{"a kept result is too short"};
    }
    std::string_view bytes_;
};

/// A record as `archive` takes it: to be read from, or to be filled.
/// Law: a writer never changes a record.
template <typename Bytes, typename Record>
using Archived = std::conditional_t<Bytes::reads, Record&, const Record&>;

///     template <typename Bytes>
///     void archive(Bytes& bytes, Archived<Bytes, Homes> homes)
///     {
///         archive_count(bytes, homes.rows);
///         for (auto& row : homes.rows)
///             bytes(row.height_m);
///     }
///
/// The number of a list's rows; the reader makes room for them. At most 255.
/// The bound is not checked: one byte holds the number.
template <typename Bytes, typename Rows>
void archive_count(Bytes& bytes, Rows& rows)
{
    auto count = static_cast<std::uint8_t>(rows.size());
    bytes(count);
    if constexpr (Bytes::reads)
        rows.resize(count);
}

/// Whether a record is there, and then members(record).
/// Law: `members` is called exactly where the record is there.
template <typename Bytes, typename Optional, typename Members>
void archive_optional(Bytes& bytes, Optional& record, Members&& members)
{
    bool there = record.has_value();
    bytes(there);
    if constexpr (Bytes::reads) {
        record.reset();
        if (there)
            record.emplace();
    }
    if (there)
        members(*record);
}

} // namespace fuelring
