// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "io/run_folder/run_folder.hpp"
#include "report/backdrop.hpp"
#include "report/run_picture.hpp"

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

namespace fuelring {

/// A raster of the town's own below the maps. For one thread.
class BackdropFile {
public:
    /// `run` and `picture` must outlive it. Throws: Error{input} naming the file: it cannot be
    /// read, has no georeference or coordinate system, or other than 8-bit bands.
    BackdropFile(const RunFolder& run, const RunPicture& picture, const std::string& path);
    ~BackdropFile();
    BackdropFile(BackdropFile&&) noexcept;

    /// Its picture of `box` (the picture's coordinates). At most `most_pixels`, and no finer than
    /// the raster: grey, colours of a palette, or the first three bands as red, green and blue.
    /// Pixels lie where one operation for the whole community puts them; between the nodes of a
    /// pattern of 33 x 33 over the box they are interpolated. Nothing where the raster does not
    /// meet the box. Throws: Error{input} where it cannot be read.
    std::optional<Backdrop> read(const Box& box, std::int64_t most_pixels);

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

/// The raster that run.json names as configuration.report.backdrop; nothing where it names none.
std::optional<BackdropFile> open_backdrop(const RunFolder& run, const RunPicture& picture);

/// The picture of a map. Throws: Error{input} naming the file, also where it does not meet the box.
std::optional<Backdrop> read_backdrop(const RunFolder& run, const RunPicture& picture,
                                      const Box& box, std::int64_t most_pixels);

} // namespace fuelring
