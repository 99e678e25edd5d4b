// SPDX-License-Identifier: Apache-2.0
// One building and a raster, both made up and in memory: its exposure and its nearest conifer.
#include <fuelring/batch.hpp>

#include <cstdio>
#include <vector>

int main()
{
    using namespace fuelring;
    std::vector<std::uint8_t> codes(300 * 300, 2); // row by row from the north, in cells of 1 m
    for (std::size_t k = 0; k < codes.size(); ++k)
        if (k % 300 >= 170)
            codes[k] = 1;                                         // forest in the east
    const Grid grid{{600'000, 1, 0, 5'400'300, 0, -1}, 300, 300}; // six numbers, as GDAL has them
    const RasterView raster{codes.data(), CellType::uint8, 300, 1, grid};
    const FuelClassTable classes{
        {{1, "conifers", FuelGroup::conifer, whole_share}, {2, "grass", FuelGroup::grass}}};
    const double x[] = {600'150, 600'160, 600'160, 600'150, 600'150};
    const double y[] = {5'400'150, 5'400'150, 5'400'160, 5'400'160, 5'400'150};
    const std::int32_t rings[] = {0, 5}, polygons[] = {0, 1}; // where each begins and ends
    double exposure = 0, nearest_m = 0;
    measure_all(PolygonsView{{}, {polygons}, {rings}, x, y, 5}, raster, classes, RingPlan{},
                {.exposure = {&exposure, 1}, .nearest_conifer_m = {&nearest_m, 1}});
    std::printf("exposure %.4f, nearest conifer at %.3f m\n", exposure, nearest_m);
}
