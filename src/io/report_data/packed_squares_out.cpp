// SPDX-License-Identifier: Apache-2.0

// Bytes of the same rank side by side pack better than floats one after the other: signs and
// exponents change slowly over the ground, and most of it is 0.
#include "io/report_data/packed_squares_out.hpp"

#include "io/gdal/handles.hpp"

#include <fuelring/error.hpp>

#include <cpl_conv.h>

#include <bit>
#include <memory>

namespace fuelring {

namespace {

struct CplFree {
    void operator()(void* p) const noexcept { CPLFree(p); }
};

std::string planes_of(const std::vector<float>& values, int bits)
{
    const std::size_t n = values.size();
    const int first = (32 - bits) / 8;
    std::string planes(n * static_cast<std::size_t>(bits / 8), '\0');
    for (std::size_t i = 0; i < n; ++i) {
        auto word = std::bit_cast<std::uint32_t>(values[i]);
        if (bits < 32)
            word += 1U << (31 - bits); // rounds; never overflows a finite sum of points
        for (int byte = first; byte < 4; ++byte)
            planes[static_cast<std::size_t>(byte - first) * n + i] =
                static_cast<char>((word >> (8 * byte)) & 0xffU);
    }
    return planes;
}

std::string zlib_of(const std::string& bytes)
{
    constexpr int level = 9;
    std::size_t size = 0;
    const std::unique_ptr<void, CplFree> packed{
        CPLZLibDeflate(bytes.data(), bytes.size(), level, nullptr, 0, &size)};
    if (!packed)
        throw Error{Failure::output, "not enough memory to pack the surface for the page"};
    return {static_cast<const char*>(packed.get()), size};
}

} // namespace

PackedSquares packed_squares(PictureSquares squares, std::size_t most_bytes)
{
    while (!squares.values.empty()) {
        for (const int bits : {32, 24}) {
            PackedSquares packed{squares.side, squares.cols, squares.rows, bits,
                                 zlib_of(planes_of(squares.values, bits))};
            if (packed.zlib.size() <= most_bytes || squares.values.size() == 1)
                return packed;
        }
        squares = squares.halved();
    }
    return {};
}

} // namespace fuelring
