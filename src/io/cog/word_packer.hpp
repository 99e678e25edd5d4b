// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// Packs tiles of 32-bit words, nearly all of which repeat the word before them or the one above
/// them, several times as fast as a packer for any bytes, which looks at every byte of a run.
/// Buffers of one thread, kept from tile to tile.
/// Source: the DEFLATE format, RFC 1951, in a zlib stream, RFC 1950. Codes of least total length:
/// Huffman, A method for the construction of minimum-redundancy codes, Proceedings of the IRE 40,
/// 1952.
class WordPacker {
public:
    /// Rows of `width` words. Requires: 2 <= width <= 8192, as far back as DEFLATE reaches.
    explicit WordPacker(std::size_t width);

    /// Replaces `into` by the stream. The words' bytes are taken as they lie in memory.
    /// Law: the same words give the same bytes; unpacking gives the words.
    /// Throws: std::bad_alloc.
    void pack(std::span<const std::uint32_t> words, std::vector<std::byte>& into);

    /// A word as it is, or a repetition of `length` bytes.
    struct Token {
        std::uint32_t word = 0;
        std::uint16_t length = 0; ///< in bytes, 3 to 258; 0: the word itself
        bool above = false;       ///< of what stands a row above, else a word before
    };

private:
    void find_tokens(std::span<const std::uint32_t> words);
    void repeat(std::size_t words, bool above);

    std::size_t width_;
    std::vector<Token> tokens_;
};

} // namespace fuelring
