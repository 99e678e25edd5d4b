// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "exposure/gain_classes.hpp"
#include "exposure/neighbourhoods.hpp" // outside_row, community_row

#include <fuelring/footprint.hpp>
#include <fuelring/measure.hpp>

#include <nlohmann/json.hpp>

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace fuelring {

/// A column of a table that a run wrote, with its cells by row.
struct PictureColumn {
    enum class Kind { text, integer, real };
    std::string name; ///< as in the run's own tables (src/manual/outputs.md)
    Kind kind = Kind::real;
    std::vector<double> numbers;    ///< full doubles, NaN where unknown; empty for a text column
    std::vector<std::string> texts; ///< empty where unknown; none for a column of numbers
    int decimals = 0;      ///< that the run's CSV files show; the page and the sheets show no more
    std::string heading{}; ///< what people read, unit included, where the file has it
};

/// A table that a run wrote: its columns and rows in the order of the file.
/// Law: every column has `rows` cells.
struct PictureTable {
    std::vector<PictureColumn> columns;
    std::size_t rows = 0;

    /// Null where the run wrote no such column.
    const PictureColumn* find(std::string_view name) const;
    /// Throws: Error{input} naming the column where the run wrote none.
    const PictureColumn& at(std::string_view name) const;
    /// One cell; NaN or the empty text where it is unknown, and where there is no such column.
    double number(std::string_view name, std::size_t row) const;
    std::string text(std::string_view name, std::size_t row) const;
};

/// Loops of one feature, shells and holes together: fill them even-odd. May be empty.
using PictureShape = std::vector<Loop>;

/// A table whose rows have shapes.
struct PictureLayer {
    PictureTable table;
    std::vector<PictureShape> shapes; ///< by row
};

/// The priority surface as far as a picture needs it: north up, pixels of whole or shared cells.
struct PictureSurface {
    std::int64_t cols = 0;
    std::int64_t rows = 0;     ///< the first is the northernmost
    Box box;                   ///< what the pixels cover, in the picture's coordinates
    std::vector<float> points; ///< mean of the cells in a pixel, points a cell; NaN: not known
    std::vector<std::uint8_t> unmapped; ///< 1 where a ring reaches ground without a known class
    double cell_m2 = 0;                 ///< ground of one cell of the raster
    std::vector<GainClass> gain;        ///< classes of the raster's own cells, best first
};

/// Sums over squares of whole cells of a raster; those at its far edges may hold fewer.
struct PictureSquares {
    int side = 1; ///< cells along a square
    std::int64_t cols = 0;
    std::int64_t rows = 0;
    std::vector<float> values; ///< row by row, in the raster's own order

    /// The same sums over squares of twice the side.
    PictureSquares halved() const;
};

/// What an area that a reader draws is measured by: every cell from the structures out to the
/// widest ring. Law: an area holds of a square the share that it covers; with side 1 its sum is
/// that of priority.tif by exact shares of cells.
struct PictureGround {
    /// Column and row (in cells, from the first square's corner) of a point (x, y) of the picture:
    /// {c + cx x + cy y, r + rx x + ry y} from {c, cx, cy, r, rx, ry}.
    std::array<double, 6> to_cells{};
    double cell_m2 = 0;
    PictureSquares points;  ///< of total exposure, summed; nothing where it is not known
    PictureSquares conifer; ///< cells of conifer: shares, summed
};

/// Longitudes and latitudes (WGS 84) of a regular 5 x 5 pattern over a box, row by row from the
/// south-west. Between them a polynomial of degree 4 each way is off by less than a centimetre
/// where the box is not wider than a community.
struct PictureDegrees {
    static constexpr int nodes = 5;
    Box box;                   ///< the picture's coordinates
    std::vector<Point> lonlat; ///< nodes * nodes, or none
};

/// What the patches of a plan do for each home, the best patches first, in groups.
/// Law: with all groups, a home falls by what treatment_exposure.csv says; a group takes off the
/// sum of what its patches remove.
struct PlanSteps {
    struct Gain {
        std::size_t home = 0;  ///< row of `structures`
        std::size_t group = 0; ///< index into `ends`
        double points = 0;     ///< by which it falls
    };
    std::vector<std::size_t> ends; ///< by group: patches in it and in those before
    std::vector<Gain> gains;       ///< by home and group
};

/// The plan of treatment, where `treat` was run.
struct PictureTreatment {
    PictureLayer units; ///< treatment_units
    PictureTable curve; ///< benefit_curve.csv
    PlanSteps steps;    ///< empty where nobody asked for them
};

/// What changed since an earlier run, where a folder of `fuelring change` was given.
struct PictureChange {
    nlohmann::json manifest; ///< its run.json
    PictureTable areas;      ///< change.csv
    PictureTable homes;      ///< change_by_address.csv
};

/// Everything that people look at of one run, read from its folder alone, never from its inputs.
/// The page, the address sheets, the maps and the spreadsheets are made from this.
///
/// Coordinates of shapes, boxes and the surface are the analysis CRS's less `origin`, x east and y
/// north, in units of that CRS; one of them is 1 / `map_scale` metres on the ground, in x and in y,
/// at the middle of the community.
struct RunPicture {
    nlohmann::json manifest; ///< the run's run.json: configuration, counts, provenance, warnings
    std::string community;
    std::string imagery_date; ///< as the configuration has it; may be empty
    RingPlan rings;
    double near_m = 0; ///< the distance that headlines and counts speak of

    Point origin;         ///< analysis CRS
    LocalScale map_scale; ///< units of the CRS per metre of ground
    Box box;              ///< around what is measured; around all structures where none is

    PictureLayer structures; ///< in bytewise order of structure_id, with all columns
    PictureTable addresses;  ///< in the order of addresses.csv, with all columns
    std::vector<std::size_t> structure_of_address; ///< row of `structures`, by address row
    PictureLayer
        neighbourhoods; ///< in the order of neighbourhoods.csv: by rank, then the two totals
    PictureSurface surface;
    PictureGround ground;
    PictureDegrees degrees;

    PictureTable history;     ///< history.csv; without rows where the run has none
    PictureTable sensitivity; ///< sensitivity.csv, in the order of its file; likewise
    std::optional<PictureTreatment> treatment;
    std::optional<PictureChange> change;
};

/// Of the shapes of these rows of `structures`, around those that have an exposure; around all of
/// them where none has: a home off the map, or in another town, must not shrink the map of the
/// rest.
Box box_of_measured(const PictureLayer& structures, std::span<const std::size_t> rows);

/// What goes with amounts of money; empty where the configuration said nothing.
std::string currency_of(const RunPicture& picture);

/// Row of the neighbourhood table of that name; nothing where there is none.
std::optional<std::size_t> neighbourhood_row(const RunPicture& picture, std::string_view name);

} // namespace fuelring
