// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>
#include <fuelring/footprint.hpp>
#include <fuelring/grid.hpp>

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

namespace fuelring {

/// Where the cells of an elevation raster lie in the local frame of a structure: the centre of
/// cell (col, row) is at origin + (col - at.col) col_step + (row - at.row) row_step, in metres of
/// the ground. Good near the structure; rasters may be turned, mirrored, sheared, in any CRS.
struct FUELRING_EXPORT HeightLattice {
    CellFrame at;
    Point origin;
    Point col_step; ///< not parallel to row_step
    Point row_step;

    /// Throws: std::invalid_argument where a number is not finite or beyond farthest_local_m, a
    /// step is shorter than 1e-6 m, or steps are parallel (a sine below 1e-6).
    void require_valid() const;
    Point centre(std::int64_t col, std::int64_t row) const;
    /// Column (x) and row (y) as real numbers: whole ones are the centres of cells.
    Point cell_of(Point local) const;
    /// Smallest rectangle that holds every cell whose centre lies in a box of local metres.
    /// Throws: std::invalid_argument as require_valid, and where the box is not finite or too far
    /// off to count cells.
    CellRect cells_in(const Box& local) const;
};

/// Heights of a rectangle of cells in metres, row by row; NaN (or infinite) where the height is not
/// known.
struct FUELRING_EXPORT HeightWindow {
    CellRect rect;
    std::vector<double> height_m; ///< as many as the rectangle has cells

    /// Throws: std::invalid_argument where heights are more or fewer than cells.
    void require_valid() const;
    /// NaN outside, too. Throws: std::out_of_range where heights are fewer than cells.
    double at(std::int64_t col, std::int64_t row) const;
    /// Between the centres of four cells (bilinear); `cell` as HeightLattice::cell_of gives it.
    /// Throws: as `at`.
    double between(Point cell) const;
};

/// Ground that falls by less than this is flat: nothing points downhill (a hundredth of a
/// millimetre a metre is what Float32 holds of a height).
inline constexpr double flattest_slope = 1e-5;
/// A plane through fewer heights is not taken for a slope.
inline constexpr std::int64_t fewest_slope_cells = 6;

/// The plane through the ground around a structure.
struct LocalSlope {
    double fall = 0;       ///< metres down per metre along `downhill`
    Point downhill;        ///< unit vector in the local frame; (0, 0) on flat ground
    double residual_m = 0; ///< root of (sum of squared differences / (cells - 3))
    std::int64_t cells = 0;
    double height_m = 0; ///< the mean of their heights

    bool is_flat() const { return fall < flattest_slope; }
};

/// Gathers the cells whose centres lie within a distance of a footprint and not on it, and fits
/// the plane of least squares. The result depends on the cells alone, not on how they come.
class FUELRING_EXPORT SlopeFit {
public:
    /// Throws: std::invalid_argument for a footprint that breaks its law, a lattice that is not
    /// valid, a distance that is not finite or below 0.
    SlopeFit(const Footprint& footprint, const HeightLattice& lattice, double within_m);
    ~SlopeFit();

    /// Cells that may matter; may leave the raster.
    CellRect cells() const;
    /// Takes the heights of whole rows of cells() (as far as the raster has them), from the first
    /// row to the last.
    /// Throws: std::invalid_argument where heights are more or fewer than cells, or rows come
    /// again.
    void take(const HeightWindow& heights);
    /// Empty where fewer than fewest_slope_cells have a height, or all of them lie in one line.
    /// Law: heights of a plane give its gradient to rounding, and a residual of 0.
    std::optional<LocalSlope> fit() const;

private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

/// The straight way uphill from the outermost point of a footprint, against `downhill`.
struct FUELRING_EXPORT UphillLine {
    Point start;   ///< the vertex of the footprint that lies furthest uphill, local metres
    Point step;    ///< one step uphill
    double step_m; ///< its length: a cell, or a 64th of the stretch where cells are smaller
    std::int64_t steps_in_stretch; ///< of the line that is fitted
    std::int64_t steps;            ///< to the end of the way

    /// Stretches of `stretch_m` (two cells at least) out to `reach_m` from the start.
    /// Throws: std::invalid_argument for a footprint that breaks its law, a lattice that is not
    /// valid, `downhill` not of length 1, distances that are not above 0 and finite, or a way of
    /// 2^31 steps or more.
    UphillLine(const Footprint& footprint, const HeightLattice& lattice, Point downhill,
               double stretch_m, double reach_m);
    Point at(std::int64_t k) const { return start + static_cast<double>(k) * step; }
};

/// Where the slope breaks on the way uphill: the middle of the first stretch whose own line of
/// least squares rises less than half as steeply as the plane; 0 where that is the stretch that
/// begins at the wall. Empty where no stretch is, or where half of one has no heights.
/// `heights_m`: at line.at(0), line.at(1), ...; NaN where not known.
/// Throws: std::invalid_argument for a line of no steps or lengths, or a `fall` that is not finite.
FUELRING_EXPORT std::optional<double>
slope_break_m(const UphillLine& line, const std::vector<double>& heights_m, double fall);

} // namespace fuelring
