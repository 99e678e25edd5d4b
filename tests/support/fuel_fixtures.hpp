// SPDX-License-Identifier: Apache-2.0

// Small footprints and fuel rasters for tests of the kernel.
#pragma once

#include <fuelring/footprint.hpp>
#include <fuelring/fuel_window.hpp>
#include <fuelring/measure.hpp>

#include <array>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

namespace fuelring::test {

/// Classes of the fixtures, by index: row 0 is 'no data'.
enum Class : ClassIndex { nothing = 0, conifer = 1, half_conifer = 2, grass = 3, road = 4 };

inline const FuelClassTable& classes()
{
    static const FuelClassTable table{std::vector<FuelClass>{
        {11, "conifer", FuelGroup::conifer, whole_share, "test"},
        {12, "mixed", FuelGroup::mixed, whole_share / 2, "test"},
        {13, "grass", FuelGroup::grass, 0, "test"},
        {14, "road", FuelGroup::built, 0, "test"},
    }};
    return table;
}

inline Footprint polygon(const Loop& loop)
{
    return normalised({{loop, false}});
}

inline Footprint rectangle(double width, double height, Point corner = {})
{
    return polygon({corner, corner + Point{width, 0}, corner + Point{width, height},
                    corner + Point{0, height}});
}

/// A star-shaped polygon about `centre`: `n` corners at random radii.
inline Footprint random_star(std::mt19937_64& rng, int n, double smallest, double largest,
                             Point centre = {})
{
    std::uniform_real_distribution<double> radius{smallest, largest};
    std::uniform_real_distribution<double> wobble{0.1, 0.9};
    Loop loop;
    for (int i = 0; i < n; ++i) {
        const double angle = 2 * std::acos(-1.0) * (i + wobble(rng)) / n;
        const double r = radius(rng);
        loop.push_back(centre + Point{r * std::cos(angle), r * std::sin(angle)});
    }
    return polygon(loop);
}

/// Rings stretched at random, downhill anywhere.
inline RingStretch random_stretch(std::mt19937_64& rng)
{
    std::uniform_real_distribution<double> unit{0, 1};
    const double angle = 2 * std::acos(-1.0) * unit(rng);
    return {1 + 1.5 * unit(rng), 1 + unit(rng), {std::cos(angle), std::sin(angle)}};
}

inline Grid square_grid(double cell_m, std::int64_t cols, std::int64_t rows)
{
    return Grid{{0, cell_m, 0, 0, 0, -cell_m}, cols, rows};
}

/// The fuel of `rect` as `class_at(row, col)` gives it.
template <typename ClassAt>
FuelWindow window(const CellRect& rect, ClassAt class_at)
{
    std::vector<ClassIndex> cells;
    cells.reserve(static_cast<std::size_t>(rect.rows * rect.cols));
    for (std::int64_t r = 0; r < rect.rows; ++r)
        for (std::int64_t c = 0; c < rect.cols; ++c)
            cells.push_back(static_cast<ClassIndex>(class_at(rect.row + r, rect.col + c)));
    return FuelWindow{rect, cells, static_cast<std::size_t>(rect.cols), contributions(classes())};
}

/// A class for every cell from its place and a seed, the same in every window.
struct RandomFuel {
    std::uint64_t seed = 1;
    int classes = 5; ///< 4: everything but 'no data' when `first` is 1
    int first = 0;

    ClassIndex operator()(std::int64_t row, std::int64_t col) const
    {
        std::uint64_t h =
            seed + 0x9e3779b97f4a7c15ULL * static_cast<std::uint64_t>(row * 1000003 + col);
        h = (h ^ (h >> 30)) * 0xbf58476d1ce4e5b9ULL;
        h = (h ^ (h >> 27)) * 0x94d049bb133111ebULL;
        h ^= h >> 31;
        return static_cast<ClassIndex>(first +
                                       static_cast<int>(h % static_cast<std::uint64_t>(classes)));
    }
};

/// Cells around a footprint that its widest ring may touch, with a margin.
inline CellRect reach(const Footprint& footprint, const CellFrame& frame, const Grid& grid,
                      const RingPlan& plan, const RingStretch& stretch = {})
{
    const Box box = bounds(footprint);
    const Box far = reach_around(plan.widest_m(), stretch);
    const CellRect r = grid.cells_of(frame, {box.min + far.min, box.max + far.max});
    return {r.col - 2, r.row - 2, r.cols + 4, r.rows + 4};
}

} // namespace fuelring::test
