// SPDX-License-Identifier: Apache-2.0
#include "io/cog/tiff_container.hpp"

#include <doctest/doctest.h>

#include <cstring>

using namespace fuelring;

namespace {

std::vector<TiffImage> two_images(std::uint32_t tile_size)
{
    const auto image = [](std::uint32_t side, std::vector<std::uint32_t> tiles) {
        return TiffImage{{TiffTag::u32(256, {side}), TiffTag::u32(257, {side})}, std::move(tiles)};
    };
    return {image(1024, {tile_size, 0, tile_size, tile_size}), image(512, {tile_size})};
}

} // namespace

TEST_CASE("tiles follow the directories, the smallest picture first, without gaps")
{
    const TiffLayout layout = tiff_layout(two_images(100), false);
    CHECK_FALSE(layout.big);
    CHECK(layout.head.substr(0, 4) == std::string("II*\0", 4));
    const std::uint64_t head = layout.head.size();
    CHECK(layout.tile_offsets[1] == std::vector<std::uint64_t>{head + 4});
    CHECK(layout.tile_offsets[0] ==
          std::vector<std::uint64_t>{head + 108 + 4, 0, head + 216 + 4, head + 324 + 4});
}

TEST_CASE("a file that would pass 4 GiB is a BigTIFF")
{
    const TiffLayout below = tiff_layout(two_images(1'000'000'000), false); // 4.0e9 < 2^32 = 4.29e9
    CHECK_FALSE(below.big);
    const TiffLayout above = tiff_layout(two_images(1'100'000'000), false);
    CHECK(above.big);
    CHECK(above.head.substr(0, 4) == std::string("II+\0", 4));
    CHECK(above.tile_offsets[0].back() > std::uint64_t{1} << 31U);
    CHECK(above.tile_offsets[1].front() == above.head.size() + 4);
}

TEST_CASE("a tile is framed by its size in front and its last four bytes behind")
{
    std::string bytes;
    append_framed(bytes, "abcdefgh", 8);
    CHECK(bytes == std::string("\x08\0\0\0", 4) + "abcdefgh" + "efgh");
    CHECK(framed_size(8) == bytes.size());
    CHECK(framed_size(0) == 0);
}
