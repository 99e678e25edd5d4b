// SPDX-License-Identifier: Apache-2.0

// The container of a Cloud Optimized GeoTIFF. Source of the format: TIFF 6.0, the BigTIFF design
// of libtiff, OGC 21-026 (COG 1.0); the note on the layout is the one GDAL's COG driver writes
// (its documentation, "header ghost area"), so that readers know that directories come first.
//
// Written by ourselves because GDAL 3.6's COG driver needs the raster twice and took 5 to 9 s for
// a sparse surface that must be out in a fraction of a second; GDAL reads every tile back.
#include "io/cog/tiff_container.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <string_view>

namespace fuelring {

static_assert(std::endian::native == std::endian::little,
              "words are written as they lie in memory");

namespace {

constexpr std::uint16_t tile_offsets_tag = 324;
constexpr std::uint16_t tile_sizes_tag = 325;
constexpr std::uint64_t classic_limit = std::uint64_t{1} << 32;

template <typename T>
void append(std::string& to, T value)
{
    to.append(reinterpret_cast<const char*>(&value), sizeof value);
}

template <typename T>
std::string bytes_of(const std::vector<T>& values)
{
    return {reinterpret_cast<const char*>(values.data()), values.size() * sizeof(T)};
}

std::string layout_note()
{
    const std::string_view text = "LAYOUT=IFDS_BEFORE_DATA\n"
                                  "BLOCK_ORDER=ROW_MAJOR\n"
                                  "BLOCK_LEADER=SIZE_AS_UINT4\n"
                                  "BLOCK_TRAILER=LAST_4_BYTES_REPEATED\n"
                                  "KNOWN_INCOMPATIBLE_EDITION=NO\n "; // GDAL turns NO to YES
    return fmt::format("GDAL_STRUCTURAL_METADATA_SIZE={:06} bytes\n{}", text.size(), text);
}

/// Widths of the two kinds of file.
struct Dialect {
    bool big;
    std::size_t header() const { return big ? 16 : 8; }
    std::size_t word() const { return big ? 8 : 4; } ///< an offset; also what a tag holds inline
    std::size_t directory(std::size_t tags) const
    {
        return big ? 8 + 20 * tags + 8 : 2 + 12 * tags + 4;
    }
    void offset(std::string& to, std::uint64_t value) const
    {
        if (big)
            append(to, value);
        else
            append(to, static_cast<std::uint32_t>(value));
    }
};

std::string values_of(const TiffTag& tag, Dialect dialect)
{
    if (tag.type != TiffTag::Type::offsets || dialect.big)
        return tag.bytes;
    std::string narrow;
    for (std::size_t at = 0; at < tag.bytes.size(); at += 8)
        narrow += tag.bytes.substr(at, 4); // little-endian: the low half
    return narrow;
}

std::uint16_t type_code(const TiffTag& tag, Dialect dialect)
{
    const bool narrowed = tag.type == TiffTag::Type::offsets && !dialect.big;
    return static_cast<std::uint16_t>(narrowed ? TiffTag::Type::u32 : tag.type);
}

void pad_to(std::string& bytes, std::size_t multiple)
{
    bytes.resize((bytes.size() + multiple - 1) / multiple * multiple, '\0');
}

/// One directory with its values behind it, for the file position `at`; the next one follows.
std::string directory(const std::vector<TiffTag>& tags, Dialect dialect, std::uint64_t at,
                      bool last)
{
    std::string entries;
    std::string behind; // values that do not fit into their entry
    const std::uint64_t behind_at = at + dialect.directory(tags.size());
    for (const TiffTag& tag : tags) {
        append(entries, tag.code);
        append(entries, type_code(tag, dialect));
        dialect.offset(entries, tag.count);
        std::string values = values_of(tag, dialect);
        if (values.size() <= dialect.word()) {
            values.resize(dialect.word(), '\0');
            entries += values;
        } else {
            dialect.offset(entries, behind_at + behind.size());
            behind += values;
            pad_to(behind, 2);
        }
    }
    std::string whole;
    if (dialect.big)
        append(whole, std::uint64_t{tags.size()});
    else
        append(whole, static_cast<std::uint16_t>(tags.size()));
    whole += entries;
    const std::size_t size = dialect.directory(tags.size()) + behind.size();
    // TIFF 6.0 asks for even places; multiples of 8 serve both kinds of file.
    const std::size_t padded = (size + 7) / 8 * 8;
    dialect.offset(whole, last ? 0 : at + padded);
    whole += behind;
    whole.resize(padded, '\0');
    return whole;
}

std::vector<TiffTag> with_tiles(const TiffImage& image, const std::vector<std::uint64_t>& offsets)
{
    std::vector<TiffTag> tags = image.tags;
    tags.push_back({tile_offsets_tag, TiffTag::Type::offsets, offsets.size(), bytes_of(offsets)});
    tags.push_back(TiffTag::u32(tile_sizes_tag, image.tile_sizes));
    std::ranges::sort(tags, {}, &TiffTag::code);
    return tags;
}

std::string head_of(const std::vector<TiffImage>& images, const TiffLayout& layout)
{
    const Dialect dialect{layout.big};
    std::string note = layout_note();
    pad_to(note, 8);
    std::string head = "II";
    append(head, static_cast<std::uint16_t>(layout.big ? 43 : 42));
    if (layout.big) {
        append(head, std::uint16_t{8}); // bytes of an offset
        append(head, std::uint16_t{0});
    }
    dialect.offset(head, dialect.header() + note.size());
    head += note;
    for (std::size_t k = 0; k < images.size(); ++k)
        head += directory(with_tiles(images[k], layout.tile_offsets[k]), dialect, head.size(),
                          k + 1 == images.size());
    return head;
}

/// Gives every tile its place, the first byte of the first one at `at`; returns the file's end.
std::uint64_t place_tiles(const std::vector<TiffImage>& images, std::uint64_t at,
                          std::vector<std::vector<std::uint64_t>>& offsets)
{
    // Smallest picture first: a reader that fetches the front of the file has an overview in it.
    for (std::size_t k = images.size(); k-- > 0;) {
        const std::vector<std::uint32_t>& sizes = images[k].tile_sizes;
        for (std::size_t tile = 0; tile < sizes.size(); ++tile) {
            offsets[k][tile] = sizes[tile] == 0 ? 0 : at + 4;
            at += framed_size(sizes[tile]);
        }
    }
    return at;
}

} // namespace

TiffTag TiffTag::text(std::uint16_t code, const std::string& value)
{
    return {code, Type::ascii, value.size() + 1, value + '\0'};
}

TiffTag TiffTag::u16(std::uint16_t code, const std::vector<std::uint16_t>& values)
{
    return {code, Type::u16, values.size(), bytes_of(values)};
}

TiffTag TiffTag::u32(std::uint16_t code, const std::vector<std::uint32_t>& values)
{
    return {code, Type::u32, values.size(), bytes_of(values)};
}

TiffLayout tiff_layout(const std::vector<TiffImage>& images, bool always_big)
{
    TiffLayout layout;
    layout.big = always_big;
    for (const TiffImage& image : images)
        layout.tile_offsets.emplace_back(image.tile_sizes.size(), 0);
    // The head's size does not depend on the offsets in it, so it is made twice.
    std::uint64_t end = place_tiles(images, head_of(images, layout).size(), layout.tile_offsets);
    if (!layout.big && end >= classic_limit) {
        layout.big = true;
        place_tiles(images, head_of(images, layout).size(), layout.tile_offsets);
    }
    layout.head = head_of(images, layout);
    return layout;
}

void append_framed(std::string& to, const char* packed, std::uint32_t size)
{
    append(to, size);
    to.append(packed, size);
    to.append(to, to.size() - 4, 4);
}

} // namespace fuelring
