// SPDX-License-Identifier: Apache-2.0

// Ring fractions of footprints in memory on a raster in memory: no file is read or written.
// A program of your own does the same with what it holds; library.md goes through it step by step.

#include <fuelring/cells_needed.hpp>
#include <fuelring/error.hpp>
#include <fuelring/measure.hpp>
#include <fuelring/repair.hpp>
#include <fuelring/version.hpp>

#include <cstdio>
#include <stdexcept>
#include <string>
#include <vector>

using namespace fuelring;

namespace {

/// A raster as a program may hold it: codes row by row from the north, and where they lie.
struct Raster {
    Grid grid;
    std::vector<int> codes;
};

/// A building with the vertices of its outline in map coordinates: parts of a shell and courtyards.
struct Building {
    std::string name;
    std::vector<RawPolygon> parts;
};

/// 300 x 300 m of grass with forest in the east, and a stripe in the north that nobody mapped.
Raster made_up_raster()
{
    const std::array<double, 6> north_up{600'000, 1, 0, 5'400'300, 0, -1}; // as GDAL has it
    Raster raster{Grid{north_up, 300, 300}, {}};
    for (int row = 0; row < 300; ++row)
        for (int col = 0; col < 300; ++col)
            raster.codes.push_back(row < 20 ? 0 : col >= 162 ? 1 : 2);
    return raster;
}

std::vector<Building> made_up_buildings()
{
    const double x = 600'150;
    const double y = 5'400'150;
    const Loop house{{x, y}, {x + 12, y}, {x + 12, y + 8}, {x, y + 8}};
    const Loop barn{{x - 60, y}, {x - 30, y}, {x - 30, y + 30}, {x - 60, y + 30}};
    const Loop courtyard{{x - 50, y + 10}, {x - 40, y + 10}, {x - 40, y + 20}, {x - 50, y + 20}};
    return {{"house at the forest's edge", {RawPolygon{{house}}}},
            {"barn with a courtyard", {RawPolygon{{barn, courtyard}}}}};
}

/// Class indices of the cells in `rect`, which may reach off the raster: nothing is known there.
std::vector<ClassIndex> classes_in(const CellRect& rect, const Raster& raster,
                                   const FuelClassTable& classes)
{
    std::vector<ClassIndex> indices;
    for (auto row = rect.row; row < rect.row + rect.rows; ++row)
        for (auto col = rect.col; col < rect.col + rect.cols; ++col) {
            const bool on =
                row >= 0 && row < raster.grid.rows() && col >= 0 && col < raster.grid.cols();
            const auto at = static_cast<std::size_t>(row * raster.grid.cols() + col);
            // A code that the table lacks would be worth a complaint; here it counts as not known.
            indices.push_back(on ? classes.find(raster.codes[at]).value_or(no_data_class)
                                 : no_data_class);
        }
    return indices;
}

/// The outline in a frame of its own, whose origin is a corner of a cell near it.
Footprint local_footprint(const Building& building, const Grid& grid, const CellFrame& frame)
{
    std::vector<RawPolygon> parts = building.parts;
    for (RawPolygon& part : parts)
        for (Loop& loop : part.loops)
            for (Point& vertex : loop)
                vertex = grid.to_local(frame, vertex);
    return repaired(parts).footprint; // no crossings, no overlaps; loops run as they should
}

void print(const Building& building, const StructureMeasure& m, const RingPlan& plan)
{
    std::printf("%s\n", building.name.c_str());
    for (std::size_t k = 0; k < m.rings.size(); ++k) {
        const RingArea& ring = m.rings[k];
        std::printf("  to %5.1f m: %10.3f m2, of it %10.3f m2 mapped, conifers %.6f\n",
                    plan.outer_m[k], ring.ring_m2, ring.mapped_m2,
                    ring.conifer_frac().value_or(-1)); // empty where too little is mapped
    }
    std::printf("  exposure %.4f per cent", exposure(m, plan).value_or(-1));
    if (m.nearest_conifer_m)
        std::printf(", nearest conifer at %.3f m", *m.nearest_conifer_m);
    std::printf("\n");
}

void measure_all()
{
    const FuelClassTable classes{std::vector<FuelClass>{
        {1, "conifers", FuelGroup::conifer, whole_share, "made up"},
        {2, "grass", FuelGroup::grass, 0, "made up"},
    }};
    const RingPlan plan; // 1.5, 10, 30, 100 m and their default weights
    const Raster raster = made_up_raster();
    for (const Building& building : made_up_buildings()) {
        const CellFrame frame = raster.grid.frame_at(building.parts.front().loops.front().front());
        const Footprint footprint = local_footprint(building, raster.grid, frame);
        const RingOutlines outlines = ring_outlines(footprint, plan);
        const CellRect rect = cells_needed(outlines, frame, raster.grid);
        const std::vector<ClassIndex> cells = classes_in(rect, raster, classes);
        const FuelWindow window{rect, cells, static_cast<std::size_t>(rect.cols),
                                contributions(classes)};
        print(building, measure(footprint, outlines, frame, raster.grid, window, plan), plan);
    }
}

} // namespace

int main()
{
    std::printf("fuelring %s\n", version);
    try {
        measure_all();
        return 0;
    } catch (const Error& e) { // what failed, where, what to do
        std::fprintf(stderr, "%s\n", e.message().c_str());
        return e.exit_code();
    } catch (const std::logic_error& e) { // what was asked for cannot be: see the header
        std::fprintf(stderr, "%s\n", e.what());
        return 1;
    }
}
