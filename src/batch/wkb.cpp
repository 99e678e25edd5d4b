// SPDX-License-Identifier: Apache-2.0

// Types are those of OGC 06-103r4: thousands tell Z and M. EWKB says the same by high bits, and may
// put a number of the CRS before the rest.
#include "batch/wkb.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <cstring>
#include <exception>
#include <utility>

namespace fuelring::batch {

namespace {

constexpr std::uint32_t ewkb_z = 0x80000000;
constexpr std::uint32_t ewkb_m = 0x40000000;
constexpr std::uint32_t ewkb_srid = 0x20000000;
constexpr int deepest = 16; ///< collections in collections

enum class Type : std::uint32_t {
    point = 1,
    line = 2,
    polygon = 3,
    multi_point = 4,
    multi_line = 5,
    multi_polygon = 6,
    collection = 7,
    surface = 15,
    tin = 16,
    triangle = 17,
};

struct Malformed : std::exception {};
/// A curve, or what no polygon can be made of without knowing it.
struct Unread : std::exception {};

class Reader {
public:
    explicit Reader(std::span<const std::byte> bytes) : left_(bytes) {}

    void geometry(RawFeature& into, int depth = 0)
    {
        if (depth > deepest)
            throw Malformed{};
        using enum Type;
        switch (head()) {
        case polygon:
        case triangle:
            polygon_into(into);
            break;
        case multi_polygon:
        case collection:
        case surface:
        case tin:
        case multi_point:
        case multi_line: {
            constexpr std::size_t least_bytes = 5;
            const std::size_t parts = count(least_bytes);
            const Frame outer = frame_;
            for (std::size_t k = 0; k < parts; ++k) {
                geometry(into, depth + 1);
                frame_ = outer;
            }
            break;
        }
        case point:
            skip(coordinate_bytes());
            others_ = true;
            break;
        case line:
            skip(count(coordinate_bytes()) * coordinate_bytes());
            others_ = true;
            break;
        default:
            throw Unread{};
        }
    }

    bool at_end() const { return left_.empty(); }
    bool met_others() const { return others_; }

private:
    /// Byte order and dimensions of the geometry that is being read.
    struct Frame {
        bool big_endian = false;
        std::size_t dimensions = 2;
    };

    template <typename Number>
    Number number()
    {
        if (left_.size() < sizeof(Number))
            throw Malformed{};
        std::array<std::byte, sizeof(Number)> bytes;
        std::memcpy(bytes.data(), left_.data(), sizeof(Number));
        left_ = left_.subspan(sizeof(Number));
        if (frame_.big_endian != (std::endian::native == std::endian::big))
            std::reverse(bytes.begin(), bytes.end());
        return std::bit_cast<Number>(bytes);
    }

    void skip(std::size_t bytes)
    {
        if (left_.size() < bytes)
            throw Malformed{};
        left_ = left_.subspan(bytes);
    }

    std::size_t coordinate_bytes() const { return frame_.dimensions * sizeof(double); }

    /// A count of things of so many bytes at least, which have to be there.
    std::size_t count(std::size_t least_bytes)
    {
        const std::size_t n = number<std::uint32_t>();
        if (n > left_.size() / least_bytes)
            throw Malformed{};
        return n;
    }

    Type head()
    {
        const auto order = number<std::uint8_t>();
        if (order > 1)
            throw Malformed{};
        frame_ = {order == 0, 2};
        auto code = number<std::uint32_t>();
        if ((code & ewkb_srid) != 0)
            skip(sizeof(std::uint32_t));
        frame_.dimensions += static_cast<std::size_t>((code & ewkb_z) != 0) +
                             static_cast<std::size_t>((code & ewkb_m) != 0);
        code &= ~(ewkb_z | ewkb_m | ewkb_srid);
        constexpr std::uint32_t thousand = 1000;
        const std::uint32_t more = code / thousand; // 1: Z, 2: M, 3: both
        if (more > 3)
            throw Malformed{};
        frame_.dimensions += more == 3 ? 2 : more > 0 ? 1 : 0;
        return Type{code % thousand};
    }

    void polygon_into(RawFeature& into)
    {
        RawPolygon raw;
        const std::size_t rings = count(sizeof(std::uint32_t));
        for (std::size_t k = 0; k < rings; ++k) {
            Loop loop(count(coordinate_bytes()));
            for (Point& p : loop) {
                p.x = number<double>();
                p.y = number<double>();
                skip(coordinate_bytes() - 2 * sizeof(double));
            }
            raw.loops.push_back(std::move(loop));
        }
        if (!raw.loops.empty())
            into.polygons.push_back(std::move(raw));
    }

    std::span<const std::byte> left_;
    Frame frame_;
    bool others_ = false;
};

} // namespace

RawFeature read_wkb(std::span<const std::byte> bytes)
{
    if (bytes.empty())
        return {FeatureStatus::empty, {}};
    Reader reader{bytes};
    RawFeature feature;
    try {
        reader.geometry(feature);
    } catch (const Unread&) {
        return {FeatureStatus::not_polygons, {}};
    } catch (const Malformed&) {
        return {FeatureStatus::malformed, {}};
    }
    if (!reader.at_end())
        return {FeatureStatus::malformed, {}};
    if (feature.polygons.empty())
        feature.status = reader.met_others() ? FeatureStatus::not_polygons : FeatureStatus::empty;
    return feature;
}

} // namespace fuelring::batch
