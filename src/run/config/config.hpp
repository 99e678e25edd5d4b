// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "exposure/susceptibility.hpp"
#include "run/config/gate_settings.hpp"
#include "run/config/treat_config.hpp"
#include "terrain/stretch_table.hpp"

#include <fuelring/measure.hpp>

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

inline constexpr int default_tile_cells = 512;
inline constexpr int least_tile_cells = 64;
inline constexpr double default_join_within_m = 30; ///< planning default

/// A column of the footprints and what its values do to how a structure is ranked.
struct AttributeSource {
    std::string column;
    std::string multipliers;       ///< path of the table: value,label,multiplier,source
    std::optional<double> unknown; ///< of values that the table lacks and of empty ones
};

/// Registration uncertainty: footprints and raster are off against each other
/// (src/manual/numbers.md, "Registration").
struct UncertaintyPlan {
    double shift_m = 1.0; ///< by up to so many metres; planning default
    int draws = 32;       ///< the first of them is no shift
    /// Ranks that count as first; empty: a tenth of those that have one, rounded up.
    std::optional<std::int64_t> first;
    std::optional<std::int64_t> first_neighbourhoods;
};

/// The key that accepts a less accurate operation.
inline constexpr const char* accept_inaccuracy = "inputs.reprojected_within_m";

/// A configuration file (src/manual/configuration.md), checked key by key. Paths of inputs are made
/// absolute relative to the file, unless they are GDAL connection strings.
struct Config {
    std::filesystem::path file;
    std::string text; ///< as read, for the digest in run.json
    /// The same without what changes no file of `map`'s own: comments, spaces, the tables [treat]
    /// and [gate], and run.also.
    std::string text_of_map;

    std::string community_name;
    StructureSource structures;
    std::vector<AttributeSource> attributes; ///< [[inputs.structures.attributes]]
    FuelSource fuel;
    std::optional<AddressSource> addresses;
    std::optional<NeighbourhoodSource> neighbourhoods;
    std::optional<ElevationSource> elevation;
    std::optional<ParcelSource> parcels;
    std::optional<CorrectionSource> corrections; ///< what visits found

    RingPlan rings;
    double near_m = 10;        ///< one of rings.outer_m
    std::size_t near_ring = 1; ///< its index
    StretchTable stretch;      ///< of rings on slopes; used where there is an elevation raster

    std::optional<UncertaintyPlan> uncertainty;
    GateSettings gate;

    /// The furthest that any ring may reach from a wall, on whatever slope.
    double furthest_m() const { return rings.widest_m() * (elevation ? stretch.largest() : 1); }

    std::filesystem::path out_dir; ///< relative to the configuration file
    bool csv_bom = true;
    bool ring_outlines = false; ///< a layer of them in fuelring.gpkg
    int history_runs = 60;      ///< in history.csv, this one among them
    RankBy rank_by = RankBy::exposure;

    int jobs = 0; ///< 0: one per core
    int tile_cells = default_tile_cells;
    std::optional<int> memory_mb;
    std::optional<double> minutes; ///< after which a command ends itself
    RunAlso also;
    /// Stated inaccuracy of the operation that brings a layer into the analysis CRS; more is
    /// refused.
    double reprojected_within_m = default_reprojected_within_m;
    bool remote_inputs = false; ///< VRT, /vsi..., databases and URLs are allowed

    std::optional<TreatmentSettings> treatment; ///< [treat], where it is there
};

/// Throws: Error{usage} naming file, line, key, what was expected, and for an unknown key the
/// nearest right one; Faults where several tables are wrong.
Config load_config(const std::filesystem::path& file);

} // namespace fuelring
