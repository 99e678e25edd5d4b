// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// Stated inaccuracy of an operation between two systems that is accepted without being asked.
/// A planning default, in metres: inputs.reprojected_within_m sets another.
inline constexpr double default_reprojected_within_m = 5;

/// Where the inputs are: the [inputs.*] tables of the configuration. Paths are already absolute
/// or GDAL connection strings; optional texts are empty where the configuration is silent.
/// `remote_allowed` is run.remote_inputs: without it only plain local files of known formats open.
/// A layer of shapes or of rows.
/// Rows that `where` does not let through are as if the file had not got them.
struct LayerSource {
    std::string path{};
    std::string layer{};    ///< may be empty where the file has one layer only
    std::string where{};    ///< attribute filter, OGR SQL
    std::string crs{};      ///< only if the file has none
    std::string encoding{}; ///< of its texts, only where that is not UTF-8
    bool remote_allowed = false;
};

/// The land that a run is about: a layer of polygons, or a box. Structures outside are left out.
struct AreaSource : LayerSource {
    /// West, south, east, north in `crs`, or in degrees of WGS 84 where that is empty.
    std::optional<std::array<double, 4>> box{};
};

/// Footprints of buildings: a layer of polygons.
struct StructureSource : LayerSource {
    std::string id{};       ///< column; feature ids where empty
    double min_area_m2 = 0; ///< of the ground; smaller footprints are left out and counted
    std::vector<std::string> attributes{}; ///< columns read into Structure::attributes
    std::optional<AreaSource> area{};      ///< where they have to stand; anywhere if empty
    std::string homes{};                   ///< condition, OGR SQL: which are homes; empty: all
    std::string people{};                  ///< column: how many live there
};

/// Addresses of the community: a layer of points.
struct AddressSource : LayerSource {
    std::string text{};                   ///< column
    double join_within_m = 0;             ///< of the ground, from an address to the nearest wall
    std::vector<std::string> more_text{}; ///< columns whose texts follow, with a blank between
    std::string x{}; ///< columns of coordinates, instead of the layer's points; both or neither
    std::string y{};
};

/// A layer of polygons, a neighbourhood being all those of one name.
struct NeighbourhoodSource : LayerSource {
    std::string name{}; ///< column
};

/// Who owns the land: a layer of polygons that do not overlap.
struct ParcelSource : LayerSource {
    std::string owner{};                                ///< column
    std::vector<std::string> private_owners{"private"}; ///< values of `owner`, in any case
    double widest_ring_m = 0;                           ///< parcels far beyond it are not read
};

/// Rows of what visits found; columns by their names in the file.
/// What the cells are: kind and group say what was found, structure_id or a shape where, date and
/// initials by whom and when.
struct CorrectionSource : LayerSource {
    std::string kind{"kind"};
    std::string structure_id{"structure_id"};
    std::string group{"group"};
    std::string date{"date"};
    std::string initials{"initials"};
    std::string wkt{"wkt"}; ///< shapes as text, where the format has none of its own
};

/// The files of a raster: one, or tiles that are one raster together.
struct RasterFiles {
    std::string path{};               ///< the file; of tiles, what messages call them
    std::vector<std::string> tiles{}; ///< in order, a later one on top; empty: one file
    bool remote_allowed = false;
};

/// What cells of a fuel raster hold: codes of a class table, or the share of conifers, in per cent
/// (0 to 100) or as a fraction (0 to 1).
enum class FuelValues { classes, percent, fraction };

/// A raster of class codes or shares (bands are counted from 1), or a layer of polygons with them.
struct FuelSource {
    std::string path{};
    std::vector<std::string> tiles{}; ///< as in RasterFiles
    int band = 1;
    std::string classes{}; ///< path of the fuel-class table; none for shares
    FuelValues values = FuelValues::classes;
    std::string date{};                      ///< of the imagery, as the user writes it
    std::string crs{};                       ///< only if the file has none
    bool unknown_codes_are_unmapped = false; ///< else codes that the class table lacks stop the run
    bool remote_allowed = false;
    std::string layer{}; ///< of polygons; these three as in LayerSource
    std::string where{};
    std::string encoding{};
    std::string column{}; ///< of the polygons' codes or shares
    double cell_m = 0;    ///< side of the cells that polygons are burnt into; 0 for a raster

    bool holds_shares() const { return values != FuelValues::classes; }
    bool is_layer() const { return cell_m > 0; }
    /// Requires: is_layer().
    LayerSource layer_source() const
    {
        return {.path = path,
                .layer = layer,
                .where = where,
                .crs = crs,
                .encoding = encoding,
                .remote_allowed = remote_allowed};
    }
    RasterFiles files() const { return {path, tiles, remote_allowed}; }
};

/// Units of heights, under the names that the configuration has for them.
/// A foot is the international one, 0.3048 m; a US survey foot is 1200/3937 m.
enum class HeightUnit { metre, foot, us_survey_foot };

/// A raster of heights of the ground.
struct ElevationSource {
    std::string path{};
    std::vector<std::string> tiles{}; ///< as in RasterFiles
    int band = 1;
    std::string crs{};                ///< only if the file has none
    std::optional<HeightUnit> unit{}; ///< instead of the one that the file tells
    bool remote_allowed = false;

    RasterFiles files() const { return {path, tiles, remote_allowed}; }
};

} // namespace fuelring
