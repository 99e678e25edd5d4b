// SPDX-License-Identifier: Apache-2.0

// Tiles go to the end of one file in the order in which threads bring them. Under the lock a tile
// is only given its place; the bytes are written outside it, so that threads do not wait for the
// disk. The name is taken away at once: the kernel frees the room when the last descriptor closes.
#include "io/cog/tile_store.hpp"

#include "base/program/durable_file.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <new>
#include <stdexcept>

namespace fuelring {

std::uint32_t checksum_of(std::span<const std::byte> bytes)
{
    return libdeflate_crc32(0, bytes.data(), bytes.size());
}

std::uint32_t checksum_of(ConstTileWords tile)
{
    return checksum_of(std::as_bytes(tile));
}

int read_at(int fd, std::uint64_t offset, std::span<std::byte> into)
{
    std::size_t have = 0;
    while (have < into.size()) {
        const ssize_t got =
            ::pread(fd, into.data() + have, into.size() - have, static_cast<off_t>(offset + have));
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            return got < 0 ? errno : EIO;
        have += static_cast<std::size_t>(got);
    }
    return 0;
}

TileCodec::TileCodec()
    : words_(tile_cells), parent_(tile_cells), unpack_{libdeflate_alloc_decompressor()}
{
    if (!unpack_)
        throw std::bad_alloc{};
}

std::span<const std::byte> TileCodec::pack(ConstTileWords tile)
{
    packer_.pack(tile, packed_);
    return packed_;
}

bool TileCodec::unpack(std::span<const std::byte> packed, TileWords tile)
{
    return libdeflate_zlib_decompress(unpack_.get(), packed.data(), packed.size(), tile.data(),
                                      tile_bytes,
                                      nullptr) == // nullptr: exactly a tile, or it fails
           LIBDEFLATE_SUCCESS;
}

TileSpill::TileSpill(const std::filesystem::path& beside) : beside_(beside)
{
    const std::filesystem::path name = beside.string() + ".tiles";
    fd_ = UniqueFd{::open(name.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600)};
    if (!fd_)
        throw output_error("the file for finished tiles cannot be made", name, errno);
    if (::unlink(name.c_str()) != 0) // a name that stayed would be published with the set
        throw output_error("the file for finished tiles cannot be unlinked", name, errno);
}

void TileSpill::store(const TileKey& key, std::span<const std::byte> packed, TileRecord record)
{
    record.size = static_cast<std::uint32_t>(packed.size());
    record.packed_checksum = checksum_of(packed);
    {
        const std::lock_guard lock{guard_};
        record.at = end_;
        if (!tiles_.emplace(key, record).second)
            throw std::logic_error{"a block of a raster was put twice"};
        end_ += packed.size();
    }
    auto at = static_cast<off_t>(record.at);
    while (!packed.empty()) {
        const ssize_t done = ::pwrite(fd_.get(), packed.data(), packed.size(), at);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            throw output_error("finished tiles cannot be kept", beside_, done < 0 ? errno : ENOSPC);
        packed = packed.subspan(static_cast<std::size_t>(done));
        at += done;
    }
}

std::optional<TileRecord> TileSpill::find(const TileKey& key) const
{
    const std::lock_guard lock{guard_};
    const auto at = tiles_.find(key);
    return at == tiles_.end() ? std::nullopt : std::optional{at->second};
}

void TileSpill::load(const TileRecord& record, std::vector<std::byte>& packed) const
{
    packed.resize(record.size);
    if (const int failed = read_at(fd_.get(), record.at, packed); failed != 0)
        throw output_error("finished tiles cannot be read back", beside_, failed);
}

void TileSpill::load(const TileRecord& record, TileCodec& codec, TileWords tile) const
{
    load(record, codec.bytes());
    if (!codec.unpack(codec.bytes(), tile) || checksum_of(tile) != record.checksum)
        throw Error{Failure::output, "a finished tile came back damaged", beside_.string(),
                    "check disk and memory, then run again"};
}

} // namespace fuelring
