// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"
#include "exposure/community.hpp"
#include "io/georeference/layer_crs.hpp"
#include "io/raster/elevation_raster.hpp"
#include "io/raster/fuel_raster.hpp"
#include "run/inputs/field_checks.hpp"
#include "run/inputs/input_files.hpp"
#include "run/inputs/remote_inputs.hpp"

#include <nlohmann/json_fwd.hpp>

#include <map>
#include <memory>
#include <string>
#include <vector>

namespace fuelring {

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

/// Opens and reads all inputs, after their checksums (sidecar.hpp) were found right. `digests`: of
/// inputs by role (input_digests) from just before, where the caller has them.
/// Throws: Error{usage} and Error{input}; Faults where several inputs are wrong, of which each was
/// tried as far as the others let it.
std::unique_ptr<Inputs> read_inputs(const Config& config, Log& log,
                                    const std::map<std::string, std::string>& digests = {});

/// What run.json says of local files and remote ones, by role.
/// Throws: Error{input} when a file cannot be read, or is not what its sidecar says.
nlohmann::json digests_of(const Inputs& inputs);

/// Cells of every code within reach of the structures, counted once each.
CodeCensus census_around(const Inputs& inputs, const RingPlan& plan);

/// Codes of the census that the class table lacks are a warning where the configuration takes them
/// as unmapped, unless they take more than half of the ground, or are most of the codes of a raster
/// that looks like something else. So are values that are no shares where the raster holds shares,
/// which are refused, too, where they look like the other unit. Throws: Error{input} that lists the
/// five commonest with the ground that they take, what the raster looks like, and what to do.
void judge_unknown_codes(Inputs& inputs, const CodeCensus& census, const FuelSource& fuel);

} // namespace fuelring
