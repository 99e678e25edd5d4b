// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "tools/paint.hpp"
#include "tools/plane.hpp"

#include <vector>

namespace community {

/// Values at the nodes of a square lattice, bilinear between them.
class Lattice {
public:
    Lattice(double pitch_m, int cols, int rows)
        : pitch_m_(pitch_m), cols_(cols), rows_(rows),
          values_(static_cast<std::size_t>(cols) * static_cast<std::size_t>(rows))
    {}
    int cols() const { return cols_; }
    int rows() const { return rows_; }
    Point node(int col, int row) const { return {col * pitch_m_, row * pitch_m_}; }
    double& at(int col, int row) { return values_[index(col, row)]; }
    double at(int col, int row) const { return values_[index(col, row)]; }
    double operator()(Point p) const;

private:
    std::size_t index(int col, int row) const
    {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(cols_) +
               static_cast<std::size_t>(col);
    }
    double pitch_m_;
    int cols_, rows_;
    std::vector<double> values_;
};

/// The ground of Tamarack Bend before anybody built on it: a river that bends round a terrace, a
/// bench above it, a mountain side to the north-east and a steep bank across the river.
class Valley {
public:
    Valley(double width_m, double height_m);

    const Spine& river() const { return river_; }
    /// Metres above the sea.
    double elevation_m(Point p) const { return elevation_(p); }
    /// Fills the canvas with what grows and lies there.
    void cover(Epoch epoch, Canvas& canvas) const;

private:
    Fuel cover_at(Point p, Epoch epoch) const;
    Fuel wood_at(Point p, double above_river_m) const;
    Fuel floor_at(Point p, double from_river_m) const;

    Spine river_;
    Lattice from_river_; ///< metres to the left of the river's middle
    Lattice along_river_;
    Lattice elevation_;
};

} // namespace community
