// SPDX-License-Identifier: Apache-2.0
#include "io/cog/compressed_tiles.hpp"

#include "io/cog/tile_store.hpp"
#include "io/gdal/errors.hpp"
#include "io/gdal/tiff_block.hpp"

#include <fcntl.h>

#include <array>

namespace fuelring {

PackedBlocks::PackedBlocks(const std::filesystem::path& file)
{
    const GdalErrors errors;
    const std::array<const char*, 2> drivers = {"GTiff", nullptr};
    file_.reset(GDALOpenEx(file.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, drivers.data(), nullptr,
                           nullptr));
    if (file_)
        fd_ = UniqueFd{::open(file.c_str(), O_RDONLY | O_CLOEXEC)};
}

bool PackedBlocks::read(std::int64_t col, std::int64_t row, std::vector<std::byte>& packed)
{
    if (!fd_)
        return false;
    const TiffBlock block = [&] {
        const std::lock_guard lock{guard_};
        return tiff_block(GDALGetRasterBand(file_.get(), 1), col, row);
    }();
    if (block.offset == 0 || block.size == 0 || block.size > 2 * tile_bytes)
        return false;
    packed.resize(static_cast<std::size_t>(block.size));
    return read_at(fd_.get(), block.offset, packed) == 0;
}

} // namespace fuelring
