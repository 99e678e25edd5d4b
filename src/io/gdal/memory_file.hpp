// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cpl_vsi.h>
#include <fmt/format.h>

#include <string>
#include <string_view>

namespace fuelring {

/// A file in GDAL's memory that goes away with its scope. Named by an address of this scope, so
/// that threads do not meet.
///
/// What GDAL makes of several calls is made here and then written by DurableFile: its drivers pass
/// over a disk that fails once (XLSX) or for ever (GeoTIFF, at the last write).
/// Requires: whoever has the file open closes it before.
class MemoryFile {
public:
    explicit MemoryFile(std::string_view extension)
        : name_(fmt::format("/vsimem/fuelring_{}.{}", fmt::ptr(this), extension))
    {}
    ~MemoryFile()
    {
        VSIUnlink(name_.c_str());
        VSIUnlink((name_ + ".aux.xml").c_str());
    }
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;

    const std::string& name() const { return name_; }
    /// What it holds, as long as it lives and is not written to; empty where there is none.
    std::string_view bytes() const
    {
        vsi_l_offset size = 0;
        const GByte* data = VSIGetMemFileBuffer(name_.c_str(), &size, FALSE);
        return {reinterpret_cast<const char*>(data), data ? static_cast<std::size_t>(size) : 0};
    }

private:
    std::string name_;
};

} // namespace fuelring
