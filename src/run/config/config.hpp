// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/sources.hpp"
#include "exposure/susceptibility.hpp"
#include "run/config/imagery_config.hpp"
#include "run/config/sensitivity_config.hpp"
#include "run/config/treat_config.hpp"
#include "terrain/stretch_table.hpp"

#include <fuelring/measure.hpp>

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Cells along a side of the squares that work is cut into: more read less ground twice, fewer take
/// less memory.
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

/// The tables [inputs...]: what a run reads. Paths are absolute, or GDAL connection strings.
struct InputSettings {
    StructureSource structures;
    std::vector<AttributeSource> attributes; ///< [[inputs.structures.attributes]]
    FuelSource fuel;
    std::optional<AddressSource> addresses;
    std::optional<NeighbourhoodSource> neighbourhoods;
    std::optional<ElevationSource> elevation;
    std::optional<ParcelSource> parcels;
    std::string parcel_id; ///< column of the parcels; only plans read it. Feature ids where empty
    std::optional<LayerSource> roads;            ///< lines; only plans read them
    std::optional<CorrectionSource> corrections; ///< what visits found
    /// Stated inaccuracy of the operation that brings a layer into the analysis CRS; more is
    /// refused.
    double reprojected_within_m = default_reprojected_within_m;
};

/// The distance that headlines, counts and comparisons are about.
struct NearDistance {
    double m = 10;        ///< one of rings.outer_m
    std::size_t ring = 1; ///< its index
};

/// The table [gate]: what the input check lets through (src/manual/gate.md); planning defaults.
struct GateSettings {
    bool on = true;
    double max_change = 5;             ///< percentage points of a share
    double max_relative_change = 50;   ///< per cent of the larger of both figures
    double max_structures_change = 10; ///< per cent of their number
    double max_regrouped = 20;         ///< per cent of the structures
    double min_height_correlation = 0.9;
};

/// The table [output].
struct OutputSettings {
    std::filesystem::path dir; ///< absolute, without a slash at its end
    bool csv_bom = true;
    bool ring_outlines = false;      ///< a layer of them in fuelring.gpkg
    std::vector<std::string> copies; ///< formats of layer_copies.hpp
    bool stac_item = false;          ///< a description of the rasters for catalogues
    int history_runs = 60;           ///< in history.csv, this one among them
    RankBy rank_by = RankBy::exposure;
};

/// What `map` makes beside its own files, in the same publication (`run.also`).
struct RunAlso {
    bool treat = false;  ///< the treatment plan; there is a table [treat]
    bool report = false; ///< the page, maps and spreadsheets
    bool any() const { return treat || report; }
};

/// The table [run]: use of the machine. Law: no figure depends on it.
struct RunSettings {
    int jobs = 0; ///< 0: one per core
    int tile_cells = default_tile_cells;
    std::optional<int> memory_mb;  ///< of 10^6 bytes; empty: no limit from here
    std::optional<double> minutes; ///< after which a command ends itself
    RunAlso also;
    bool classify = false;      ///< `map` makes its raster first; there is [imagery] and its output
    bool remote_inputs = false; ///< VRT, /vsi..., databases and URLs are allowed
};

/// A layer of the town's own below the maps: an entry of [[report.context]].
struct ContextSource : LayerSource {
    std::string kind{};   ///< streets, paths, railway or water
    std::string credit{}; ///< whose it is; may be empty
};

/// The table [report].
struct ReportSettings {
    std::string currency; ///< as people write it; may be empty
    std::string contact;  ///< whom to ask
    std::string visit;    ///< what the town offers
    std::string logo;     ///< absolute path of a PNG; empty for none
    std::string backdrop; ///< absolute path of a raster; empty for none
    std::string credit;   ///< there with a backdrop
    std::vector<ContextSource> context;
};

/// The table [appraise].
struct AppraiseSettings {
    /// By how many points of exposure a home has to fall to be counted; rising. Planning defaults.
    std::vector<double> thresholds{0.1, 0.5, 1, 2, 5};
    std::optional<double> budget; ///< money: say which projects to do with it
};

/// A configuration file (src/manual/configuration.md), checked key by key. A function takes the
/// part that it depends on; the whole goes to commands and to what cuts up their work. Nothing in
/// it changes after load_config, so any thread may read it.
struct Config {
    std::filesystem::path file;
    std::string text; ///< as read, for the digest in run.json
    /// The same without what changes no file of `map`'s own: comments, spaces, the tables [treat],
    /// [appraise], [gate] and [imagery], run.also, run.minutes and run.classify.
    std::string text_of_map;
    /// What the files of `classify` depend on, likewise: [imagery], [community], [rings],
    /// [inputs.structures] and [inputs.corrections].
    std::string text_of_classify;

    std::string community_name;
    InputSettings inputs;
    RingPlan rings;
    NearDistance near;
    StretchTable stretch; ///< of rings on slopes; used where there is an elevation raster
    std::optional<UncertaintyPlan> uncertainty;
    std::optional<SensitivityPlan> sensitivity; ///< [sensitivity], where it is there
    GateSettings gate;
    OutputSettings output;
    RunSettings run;
    std::optional<TreatmentSettings> treatment; ///< [treat], where it is there
    ReportSettings report;
    AppraiseSettings appraise;
    std::optional<ImagerySettings> imagery; ///< [imagery], where it is there

    /// The furthest that any ring may reach from a wall, on whatever slope.
    double furthest_m() const
    {
        return rings.widest_m() * (inputs.elevation ? stretch.largest() : 1);
    }
    /// Registration draws for each structure; 0: none are asked for.
    int draws() const { return uncertainty ? uncertainty->draws : 0; }
};

/// Throws: Error{usage} naming file, line, key, what was expected, and for an unknown key the
/// nearest right one; Faults where several tables are wrong. Opens no input: that a path leads
/// nowhere is found when it is read.
Config load_config(const std::filesystem::path& file);

/// The same for `classify`, which needs [imagery] only: [inputs.structures] may be absent (its path
/// is then empty), and of other tables [community], [rings] and [run] are read. Throws: as above.
Config load_imagery_config(const std::filesystem::path& file);

} // namespace fuelring
