// SPDX-License-Identifier: Apache-2.0

// A program outside the project: ring fractions of a footprint and a raster in memory, no files.
#include <fuelring/measure.hpp>
#include <fuelring/version.hpp>

#include <cstdio>

int main()
{
    using namespace fuelring;
    const FuelClassTable classes{std::vector<FuelClass>{
        {1, "conifer", FuelGroup::conifer, whole_share, "example"},
        {2, "grass", FuelGroup::grass, 0, "example"},
    }};
    const RingPlan plan;
    const Grid grid{{0, 1, 0, 0, 0, -1}, 400, 400}; // 1 m cells, north up
    const CellFrame frame{200, 200};
    const Footprint house = normalised({{{{0, 0}, {12, 0}, {12, 8}, {0, 8}}, false}});

    // Conifers everywhere east of column 212: they touch the east wall.
    const CellRect window{80, 80, 250, 250};
    std::vector<ClassIndex> cells;
    for (std::int64_t row = 0; row < window.rows; ++row)
        for (std::int64_t col = 0; col < window.cols; ++col)
            cells.push_back(window.col + col >= 212 ? 1 : 2);
    const FuelWindow fuel{window, cells, 250, contributions(classes)};

    const StructureMeasure m = measure(house, ring_outlines(house, plan), frame, grid, fuel, plan);
    for (const RingArea& ring : m.rings)
        std::printf("%.6f\n", ring.conifer_frac().value());
    std::printf("fuelring %s: nearest conifer %.3f m, exposure %.4f\n", version,
                m.nearest_conifer_m.value(), exposure(m, plan).value());
    // By hand: east of the wall the first ring is 8 x 1.5 plus two quarter discs of 1.5 m.
    const double by_hand_m2 = 8 * 1.5 + 3.14159265358979 * 1.5 * 1.5 / 2;
    const double error_m2 = m.rings[0].conifer_m2 - by_hand_m2;
    return error_m2 < 1e-9 && error_m2 > -1e-9 ? 0 : 1;
}
