// SPDX-License-Identifier: Apache-2.0

// Two passes over a tile. The first finds tokens: words as they are, and repetitions of the word
// before or of the row above. The second writes them in blocks, each with codes of its own. A
// repetition has one of two distances, so their codes have one bit; the lengths of the codes are
// written as they are, four bits each, which costs 154 bytes a block.
#include "io/cog/word_packer.hpp"

#include <libdeflate.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <functional>
#include <queue>
#include <utility>

namespace fuelring {

namespace {

static_assert(std::endian::native == std::endian::little, "a word's bytes go out lowest first");

constexpr std::size_t symbols = 286; ///< bytes, the end of a block, and lengths
constexpr std::size_t end_symbol = 256;
/// DEFLATE allows 15; with 14 the four bytes of a word and what is left over fit 64 bits.
constexpr int longest_code = 14;
constexpr std::size_t tokens_in_block = 1 << 15;
constexpr std::uint16_t longest_match = 258;

/// How RFC 1951 writes a number: a symbol and more bits.
struct Written {
    std::uint16_t symbol = 0;
    std::uint16_t extra = 0;
    std::uint8_t extra_bits = 0;
};

/// Of lengths (3.2.5): four symbols to each number of extra bits; 258 has one of its own.
constexpr std::array<Written, longest_match + 1> lengths = [] {
    std::array<Written, longest_match + 1> table{};
    std::uint16_t symbol = 257;
    std::uint16_t length = 3;
    for (std::uint8_t bits = 0; bits < 6; ++bits)
        for (int k = 0; k < (bits == 0 ? 8 : 4); ++k, ++symbol)
            for (std::uint16_t extra = 0; extra < 1 << bits && length <= longest_match; ++extra)
                table[length++] = {symbol, extra, bits};
    table[longest_match] = {285, 0, 0};
    return table;
}();

/// Of a distance in bytes (3.2.5): two symbols to each number of extra bits.
Written written_distance(std::uint16_t bytes)
{
    const auto from_zero = static_cast<std::uint16_t>(bytes - 1);
    if (from_zero < 4)
        return {from_zero, 0, 0};
    const int bits = std::bit_width(from_zero) - 2;
    const int top = from_zero >> bits; // 2 or 3
    return {static_cast<std::uint16_t>(2 * bits + top),
            static_cast<std::uint16_t>(from_zero - (top << bits)), static_cast<std::uint8_t>(bits)};
}

struct Code {
    std::uint32_t bits = 0; ///< in the order in which they are written, from the lowest
    int length = 0;
};
using Counts = std::array<std::uint32_t, symbols>;
using Codes = std::array<Code, symbols>;

/// Lengths of the codes of those symbols that occur, at least two of them. False where one is too
/// long.
bool find_lengths(const Counts& counts, Codes& codes)
{
    struct Node {
        std::uint64_t count;
        std::size_t number; // the order of equal counts is fixed, so the codes are
        bool operator>(const Node& other) const
        {
            return std::pair{count, number} > std::pair{other.count, other.number};
        }
    };
    std::priority_queue<Node, std::vector<Node>, std::greater<>> open;
    for (std::size_t s = 0; s < symbols; ++s)
        if (counts[s] > 0)
            open.push({counts[s], s});
    std::array<std::size_t, 2 * symbols> parent{};
    std::size_t next = symbols;
    while (open.size() > 1) {
        const Node a = open.top();
        open.pop();
        const Node b = open.top();
        open.pop();
        parent[a.number] = parent[b.number] = next;
        open.push({a.count + b.count, next++});
    }
    for (std::size_t s = 0; s < symbols; ++s) {
        codes[s].length = 0;
        for (std::size_t at = s; counts[s] > 0 && at + 1 != next; at = parent[at])
            ++codes[s].length;
        if (codes[s].length > longest_code)
            return false;
    }
    return true;
}

/// Codes by their lengths (3.2.2), each turned round, since its first bit is written first.
void number_codes(Codes& codes)
{
    std::array<std::uint32_t, longest_code + 1> of_length{};
    for (const Code& code : codes)
        ++of_length[static_cast<std::size_t>(code.length)];
    of_length[0] = 0;
    std::array<std::uint32_t, longest_code + 1> next{};
    for (std::size_t length = 1; length < next.size(); ++length)
        next[length] = (next[length - 1] + of_length[length - 1]) << 1;
    for (Code& code : codes) {
        std::uint32_t number = code.length > 0 ? next[static_cast<std::size_t>(code.length)]++ : 0;
        code.bits = 0;
        for (int k = 0; k < code.length; ++k, number >>= 1)
            code.bits = code.bits << 1 | (number & 1);
    }
}

Codes codes_for(Counts counts)
{
    Codes codes;
    while (!find_lengths(counts, codes)) // rarer symbols come closer to the others
        for (std::uint32_t& count : counts)
            count = count / 2 + count % 2;
    number_codes(codes);
    return codes;
}

/// Bits go out from the lowest.
class BitWriter {
public:
    explicit BitWriter(std::vector<std::byte>& bytes) : bytes_(bytes) {}
    /// Makes room for so many bits more, which every `put` needs.
    void reserve(std::uint64_t bits) { bytes_.resize(used_ + bits / 8 + 2 * sizeof held_); }
    /// Requires: at most 57 bits.
    void put(std::uint64_t bits, int count)
    {
        held_ |= bits << held_bits_;
        held_bits_ += count;
        std::memcpy(bytes_.data() + used_, &held_, sizeof held_);
        used_ += static_cast<std::size_t>(held_bits_ / 8);
        held_ = held_bits_ < 64 ? held_ >> (held_bits_ & ~7) : 0;
        held_bits_ &= 7;
    }
    /// Fills the last byte up with zeros.
    void finish() { bytes_.resize(used_ + (held_bits_ > 0 ? 1 : 0)); }

private:
    std::vector<std::byte>& bytes_;
    std::size_t used_ = bytes_.size();
    std::uint64_t held_ = 0;
    int held_bits_ = 0;
};

/// The head of a block with codes of its own (3.2.7). Lengths 0 to 15 have codes of four bits;
/// those that would count repeated lengths have none.
void put_head(BitWriter& out, bool last, const Codes& codes, const std::array<Written, 2>& distance)
{
    constexpr std::size_t distances = 30;
    out.put(last ? 1 : 0, 1);
    out.put(2, 2);
    out.put(symbols - 257, 5);
    out.put(distances - 1, 5);
    out.put(19 - 4, 4);
    for (int k = 0; k < 19; ++k)
        out.put(k < 3 ? 0 : 4, 3);
    const auto put_length = [&](unsigned length) {
        out.put((length & 1) << 3 | (length & 2) << 1 | (length & 4) >> 1 | length >> 3, 4);
    };
    for (const Code& code : codes)
        put_length(static_cast<unsigned>(code.length));
    for (std::size_t k = 0; k < distances; ++k)
        put_length(k == distance[0].symbol || k == distance[1].symbol ? 1 : 0);
}

} // namespace

WordPacker::WordPacker(std::size_t width) : width_(width) {}

void WordPacker::repeat(std::size_t words, bool above)
{
    for (std::size_t left = 4 * words; left > 0;) {
        std::size_t length = std::min<std::size_t>(left, longest_match);
        if (left - length == 1 || left - length == 2)
            length -= 2; // no repetition is shorter than 3
        tokens_.push_back({0, static_cast<std::uint16_t>(length), above});
        left -= length;
    }
}

void WordPacker::find_tokens(std::span<const std::uint32_t> words)
{
    tokens_.clear();
    const auto repeated = [&](std::size_t at, std::size_t distance) {
        std::size_t end = at;
        while (end < words.size() && words[end] == words[end - distance])
            ++end;
        return end - at;
    };
    constexpr std::size_t long_enough = 16;
    for (std::size_t at = 0; at < words.size();) {
        const std::size_t before = at >= 1 ? repeated(at, 1) : 0;
        const std::size_t above = before < long_enough && at >= width_ ? repeated(at, width_) : 0;
        if (before == 0 && above == 0)
            tokens_.push_back({words[at], 0, false});
        else
            repeat(std::max(before, above), above > before);
        at += std::max<std::size_t>({before, above, 1});
    }
}

namespace {

Codes codes_of(std::span<const WordPacker::Token> block, Counts& counts)
{
    counts = {};
    counts[end_symbol] = counts[end_symbol + 1] = 1; // two codes at least
    for (const WordPacker::Token& token : block)
        if (token.length > 0)
            ++counts[lengths[token.length].symbol];
        else
            for (int shift = 0; shift < 32; shift += 8)
                ++counts[token.word >> shift & 0xff];
    return codes_for(counts);
}

/// What the block takes at most.
std::uint64_t bits_of(const Counts& counts, const Codes& codes)
{
    constexpr unsigned head = 2000;
    constexpr unsigned of_repetition = 5 + 1 + 13; ///< beside the code of its length
    std::uint64_t bits = head;
    for (std::size_t s = 0; s < symbols; ++s)
        bits += std::uint64_t{counts[s]} *
                (static_cast<unsigned>(codes[s].length) + (s > end_symbol ? of_repetition : 0));
    return bits;
}

void put_token(BitWriter& out, const WordPacker::Token& token, const Codes& codes,
               const std::array<Written, 2>& distance)
{
    std::uint64_t held = 0;
    int count = 0;
    const auto put = [&](std::uint64_t bits, int of) {
        held |= bits << count;
        count += of;
    };
    if (token.length == 0) {
        for (int shift = 0; shift < 32; shift += 8) {
            const Code& code = codes[token.word >> shift & 0xff];
            put(code.bits, code.length);
        }
    } else {
        const Written& length = lengths[token.length];
        const Written& back = distance[token.above ? 1 : 0];
        put(codes[length.symbol].bits, codes[length.symbol].length);
        put(length.extra, length.extra_bits);
        put(token.above ? 1 : 0, 1);
        put(back.extra, back.extra_bits);
    }
    out.put(held, count);
}

} // namespace

void WordPacker::pack(std::span<const std::uint32_t> words, std::vector<std::byte>& into)
{
    find_tokens(words);
    // One bit each, the lower symbol first.
    const std::array<Written, 2> distance{written_distance(4),
                                          written_distance(static_cast<std::uint16_t>(4 * width_))};
    into.assign({std::byte{0x78}, std::byte{0x01}});
    BitWriter out{into};
    Counts counts{};
    for (std::size_t begin = 0; begin == 0 || begin < tokens_.size(); begin += tokens_in_block) {
        const auto block = std::span<const Token>{tokens_}.subspan(
            begin, std::min(tokens_in_block, tokens_.size() - begin));
        const Codes codes = codes_of(block, counts);
        out.reserve(bits_of(counts, codes));
        put_head(out, begin + block.size() == tokens_.size(), codes, distance);
        for (const Token& token : block)
            put_token(out, token, codes, distance);
        out.put(codes[end_symbol].bits, codes[end_symbol].length);
    }
    out.finish();
    const std::uint32_t sum = libdeflate_adler32(1, words.data(), words.size_bytes());
    for (int shift = 24; shift >= 0; shift -= 8)
        into.push_back(static_cast<std::byte>(sum >> shift & 0xff));
}

} // namespace fuelring
