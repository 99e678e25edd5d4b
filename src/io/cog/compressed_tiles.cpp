// SPDX-License-Identifier: Apache-2.0
#include "io/cog/compressed_tiles.hpp"

#include "io/cog/cog_pixels.hpp"
#include "io/gdal/errors.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <cstdlib>

namespace fuelring {

PackedBlocks::PackedBlocks(const std::filesystem::path& file)
{
    const GdalErrors errors;
    const std::array<const char*, 2> drivers = {"GTiff", nullptr};
    file_.reset(GDALOpenEx(file.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, drivers.data(), nullptr,
                           nullptr));
    if (file_)
        fd_ = ::open(file.c_str(), O_RDONLY | O_CLOEXEC);
}

PackedBlocks::~PackedBlocks()
{
    if (fd_ >= 0)
        ::close(fd_);
}

bool PackedBlocks::read(std::int64_t col, std::int64_t row, std::vector<std::byte>& packed)
{
    if (fd_ < 0)
        return false;
    std::uint64_t at = 0;
    std::uint64_t size = 0;
    {
        const std::lock_guard lock{guard_};
        GDALRasterBandH band = GDALGetRasterBand(file_.get(), 1);
        const auto number = [&](const char* what) {
            const std::string name = fmt::format("BLOCK_{}_{}_{}", what, col, row);
            const char* text = GDALGetMetadataItem(band, name.c_str(), "TIFF");
            return text ? std::strtoull(text, nullptr, 10) : 0;
        };
        at = number("OFFSET");
        size = number("SIZE");
    }
    if (at == 0 || size == 0 || size > 2 * tile_bytes)
        return false;
    packed.resize(static_cast<std::size_t>(size));
    return ::pread(fd_, packed.data(), packed.size(), static_cast<off_t>(at)) ==
           static_cast<ssize_t>(packed.size());
}

} // namespace fuelring
