// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "base/warnings.hpp"
#include "exposure/community.hpp"
#include "io/georeference/layer_crs.hpp"
#include "io/raster/elevation_raster.hpp"
#include "io/raster/fuel_raster.hpp"
#include "run/config/config.hpp"
#include "run/inputs/field_checks.hpp"
#include "run/inputs/input_stamps.hpp"
#include "run/inputs/remote_inputs.hpp"
#include "run/inputs/sidecar.hpp"

#include <nlohmann/json_fwd.hpp>

#include <map>
#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace fuelring {

/// A local input file as it was before the run read it.
struct InputFile {
    std::string role; ///< key of the configuration, such as inputs.fuel.path
    std::filesystem::path path;
    InputStamps stamps;   ///< to see a change during the run
    std::string digest{}; ///< digest_with_companions from before the run read it; may be empty
    std::optional<Sidecar> sidecar{}; ///< the checksum beside it; set by read_inputs
};

/// How it went with the slopes.
struct TerrainCounts {
    double within_m = 0;            ///< of the walls: ground that a slope is made of
    std::int64_t without_slope = 0; ///< structures
    std::int64_t off_raster = 0;    ///< of them, with no cell of the elevation raster in reach
    std::int64_t flat = 0;
    std::int64_t uneven = 0;    ///< heights differ much from the plane
    std::int64_t stretched = 0; ///< with rings that are not round
    double furthest_down = 1;   ///< the largest factor of them
};

/// Everything a run reads, opened and joined.
struct Inputs {
    explicit Inputs(FuelClassTable table) : classes{std::move(table)} {}

    FuelClassTable classes;
    std::unique_ptr<FuelRaster> raster;         ///< refers to `classes`; not movable
    std::unique_ptr<ElevationRaster> elevation; ///< none without inputs.elevation
    Community community;                        ///< `terrain` is filled by find_slopes
    TerrainCounts terrain;
    std::optional<FieldChecks> field_checks; ///< applied; none without inputs.corrections
    std::vector<LayerCrs> layers;            ///< how each came into the analysis CRS
    CoordinateOperation to_wgs84;            ///< gives longitudes and latitudes
    Warnings warnings;
    std::vector<InputFile> files;
    std::vector<RemoteInput> remote;
    std::vector<std::string> environment; ///< "NAME=value" of what GDAL heeds; no secrets
};

/// Key of the configuration and path of everything that a run of `map` reads.
std::vector<std::pair<std::string, std::string>> configured_inputs(const Config& config);

/// The local files among the configured paths as they are now; connection strings have no digest.
std::vector<InputFile> local_files(const Config& config);

/// Opens and reads all inputs, after their checksums (sidecar.hpp) were found right. `digests`: of
/// inputs by role (input_digests) from just before, where the caller has them.
/// Throws: Error{usage} and Error{input}; Faults where several inputs are wrong, of which each was
/// tried as far as the others let it.
std::unique_ptr<Inputs> read_inputs(const Config& config, Log& log,
                                    const std::map<std::string, std::string>& digests = {});

/// role -> {path, size, sha256} of the local input files; `sidecar`, the path of the checksum that
/// it agrees with, where there is one.
/// Throws: Error{input} when a file cannot be read, or is not what its sidecar says.
nlohmann::json digests_of(const std::vector<InputFile>& files);

/// Throws: Error{input} naming the file when one, or a part of it beside it, changed since
/// `read_inputs`. Where a file was not written (a hard link, another mode), its digest decides; it
/// counts as changed where there is none.
void require_unchanged(const std::vector<InputFile>& files);

/// Cells of every code within reach of the structures, counted once each.
CodeCensus census_around(const Inputs& inputs, const RingPlan& plan);

/// Codes of the census that the class table lacks are a warning where the configuration takes them
/// as unmapped, unless they take more than half of the ground, or are most of the codes of a raster
/// that looks like something else. Throws: Error{input} that lists the five commonest with the
/// ground that they take, what the raster looks like, and what to do.
void judge_unknown_codes(Inputs& inputs, const CodeCensus& census, const Config& config);

} // namespace fuelring
