// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"
#include "exposure/community.hpp"
#include "io/raster/fuel_raster.hpp"
#include "run/config/config.hpp"
#include "run/inputs/input_files.hpp"

#include <map>
#include <string>
#include <vector>

namespace fuelring {

class ByteWriter;

/// What a run as a whole depends on: digests in hex by role (`configuration`, `program`,
/// `environment`, `grids_of_proj`, a key of the configuration for each input). Two runs with equal
/// digests measure the same. An empty one says nothing and equals no other run's.
using InputDigests = std::map<std::string, std::string>;

/// Digests of the program, the configuration and every input file with what lies beside it under
/// its name, whose bytes are read each time. Empty where an input is no local file, may refer to
/// others, or cannot be read: then nobody can tell whether it changed. Takes the time of reading
/// all of them once.
InputDigests input_digests(const Config& config);
/// The same of other inputs, and of the text that stands for a configuration.
InputDigests digests_by_role(const InputPaths& paths, const Config& config,
                             const std::string& text);
/// Among them: what PROJ has to choose operations from.
inline constexpr const char* grids_of_proj = "grids of PROJ";

/// Roles that only one has, or whose digests differ: those of `a` first, each part sorted.
std::vector<std::string> differences(const InputDigests& a, const InputDigests& b);

/// Of the program itself and the layout of what it keeps, so that a changed build never takes
/// another's results for its own. SHA-256 in hex; of versions alone where the system does not let a
/// program read its own file.
std::string program_digest();

/// Puts what says where the raster's cells lie: geotransform, size, CRS as WKT.
void put_grid(ByteWriter& bytes, const FuelRaster& raster);
/// The index of its neighbourhood; their number for a structure outside them.
std::uint64_t number_of_neighbourhood(const Community& community, const Structure& structure);
/// Of a structure: its footprint, where it stands, how its rings are stretched.
/// Law: equal for equal bits of these, whatever its id, address or neighbourhood. Vertices count in
/// their order: an outline that begins elsewhere is another shape.
RawDigest shape_of(const Structure& structure);

} // namespace fuelring
