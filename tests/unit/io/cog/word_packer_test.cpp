// SPDX-License-Identifier: Apache-2.0
#include "io/cog/cog_pixels.hpp"
#include "io/cog/word_packer.hpp"

#include <doctest/doctest.h>
#include <libdeflate.h>

#include <bit>
#include <memory>
#include <random>
#include <string>
#include <utility>
#include <vector>

using namespace fuelring;

namespace {

using Words = std::vector<std::uint32_t>;

constexpr std::size_t width = 512;

/// By another's packer and unpacker (libdeflate).
Words unpacked(const std::vector<std::byte>& packed, std::size_t words)
{
    const std::unique_ptr<libdeflate_decompressor, decltype(&libdeflate_free_decompressor)> by{
        libdeflate_alloc_decompressor(), libdeflate_free_decompressor};
    Words out(words);
    std::size_t bytes = 0;
    REQUIRE(libdeflate_zlib_decompress(by.get(), packed.data(), packed.size(), out.data(),
                                       4 * words, &bytes) == LIBDEFLATE_SUCCESS);
    REQUIRE(bytes == 4 * words);
    return out;
}
std::size_t size_by_libdeflate(const Words& words)
{
    const std::unique_ptr<libdeflate_compressor, decltype(&libdeflate_free_compressor)> by{
        libdeflate_alloc_compressor(1), libdeflate_free_compressor};
    std::vector<std::byte> out(libdeflate_zlib_compress_bound(by.get(), 4 * words.size()));
    return libdeflate_zlib_compress(by.get(), words.data(), 4 * words.size(), out.data(),
                                    out.size());
}

/// Discs of values that differ from cell to cell, or are 0, on unknown ground: as around homes.
Words discs()
{
    std::mt19937 random{7};
    Words words(width * width, nan_word);
    for (const auto& [row, col] : {std::pair{100, 120}, {180, 300}, {400, 420}})
        for (int r = -100; r <= 100; ++r)
            for (int c = -100; c <= 100; ++c)
                if (r * r + c * c < 100 * 100 && row + r < 512 && col + c < 512)
                    words[static_cast<std::size_t>((row + r) * 512 + col + c)] =
                        random() % 4 == 0
                            ? std::bit_cast<std::uint32_t>(1e-9F * static_cast<float>(random()))
                            : 0;
    return words;
}

} // namespace

TEST_CASE("a packed tile is a zlib stream that another's unpacker reads")
{
    std::mt19937 random{20261129};
    WordPacker packer{width};
    std::vector<std::byte> packed;
    const auto holds = [&](const std::string& what, const Words& words) {
        CAPTURE(what);
        packer.pack(words, packed);
        CHECK((unpacked(packed, words.size()) == words));
        const std::vector<std::byte> first = packed;
        WordPacker{width}.pack(words, packed);
        CHECK((packed == first));
        return packed.size();
    };
    holds("nothing", {});
    holds("one word", {0x01020304});
    for (const std::size_t length : {2, 63, 64, 65, 66, 129, 130, 512, 513, 1024, 4096})
        holds("a run of " + std::to_string(length), Words(length, nan_word));
    CHECK(holds("unknown ground", Words(width * width, nan_word)) < 1500);
    CHECK(holds("discs", discs()) < 11 * size_by_libdeflate(discs()) / 10);

    Words noise(width * width);
    for (std::uint32_t& word : noise)
        word = static_cast<std::uint32_t>(random());
    CHECK(holds("noise", noise) < 4 * noise.size() + 4 * noise.size() / 100);
    Words row_by_row(noise.begin(), noise.begin() + width);
    for (std::size_t row = 1; row < width; ++row)
        row_by_row.insert(row_by_row.end(), noise.begin(), noise.begin() + width);
    CHECK(holds("one row again and again", row_by_row) < 9000);

    for (int turn = 0; turn < 300; ++turn) { // runs of any length, of few and of many values
        CAPTURE(turn);
        Words words;
        const std::size_t wanted = 1 + random() % 6000;
        while (words.size() < wanted) {
            const std::size_t run = 1 + random() % (1U << random() % 9);
            if (words.size() > width && random() % 3 == 0)
                for (std::size_t k = 0; k < run; ++k)
                    words.push_back(words[words.size() - width]);
            else
                words.insert(words.end(), run,
                             static_cast<std::uint32_t>(random() >> (random() % 32)));
        }
        holds("runs", words);
    }
}

TEST_CASE("bytes of very different frequency get codes that are not too long")
{
    // Frequencies as Fibonacci numbers give the longest codes there are.
    Words words;
    std::size_t a = 1;
    std::size_t b = 1;
    for (std::uint32_t byte = 0; byte < 22; ++byte) {
        for (std::size_t k = 0; k < a; ++k)
            words.push_back(byte | 0x7f00 | static_cast<std::uint32_t>(k % 2) << 16 | byte << 24);
        b = std::exchange(a, a + b);
    }
    WordPacker packer{width};
    std::vector<std::byte> packed;
    packer.pack(words, packed);
    CHECK((unpacked(packed, words.size()) == words));
    CHECK(packed.size() < 4 * words.size());
}
