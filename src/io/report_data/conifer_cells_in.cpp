// SPDX-License-Identifier: Apache-2.0

// Cells of fuel_used.tif are gathered in squares of `side` cells, row of squares by row of squares,
// so that memory holds one row of them. A mean is over cells that are known; where more were
// reached and are not known, the square is unmapped.
#include "io/report_data/run_picture_in.hpp"
#include "io/run_folder/fuel_used_in.hpp"
#include "report/print/map_view.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

/// What lies in one cell of the picture.
struct Sum {
    std::uint64_t share = 0;
    std::uint32_t known = 0;
    std::uint32_t unmapped = 0;

    std::uint16_t mean() const
    {
        if (unmapped > known)
            return report::MapCells::unmapped;
        return known == 0 ? std::uint16_t{0} : static_cast<std::uint16_t>(share / known);
    }
};

/// Cells of the raster about a box whose coordinates count from the corner of cell (0, 0).
CellRect cells_about(const Grid& grid, const Box& box)
{
    const Point origin = grid.corner(0, 0);
    Box cells{{HUGE_VAL, HUGE_VAL}, {-HUGE_VAL, -HUGE_VAL}};
    for (const Point p :
         {box.min, box.max, Point{box.min.x, box.max.y}, Point{box.max.x, box.min.y}}) {
        const Point at = grid.cell_of(origin + p);
        cells.min = {std::min(cells.min.x, at.x), std::min(cells.min.y, at.y)};
        cells.max = {std::max(cells.max.x, at.x), std::max(cells.max.y, at.y)};
    }
    const auto first = [](double v, std::int64_t end) {
        return static_cast<std::int64_t>(std::clamp(std::floor(v), 0.0, static_cast<double>(end)));
    };
    const auto last = [](double v, std::int64_t end) {
        return static_cast<std::int64_t>(std::clamp(std::ceil(v), 0.0, static_cast<double>(end)));
    };
    CellRect rect{first(cells.min.x, grid.cols()), first(cells.min.y, grid.rows()), 0, 0};
    rect.cols = last(cells.max.x, grid.cols()) - rect.col;
    rect.rows = last(cells.max.y, grid.rows()) - rect.row;
    return rect;
}

/// Adds one row of the picture: the means of a band of the raster.
void add_row(const FuelPatch& patch, std::int64_t side, report::MapCells& picture)
{
    std::vector<Sum> sums(static_cast<std::size_t>(picture.cols));
    for (std::size_t k = 0; k < patch.share.size(); ++k) {
        if (patch.group[k] == FuelPatch::never_reached)
            continue;
        const auto col = static_cast<std::int64_t>(k) % patch.rect.cols;
        Sum& sum = sums[static_cast<std::size_t>(col / side)];
        const bool known = patch.share[k] != FuelPatch::unknown_share;
        sum.known += known ? 1 : 0;
        sum.unmapped += known ? 0 : 1;
        sum.share += known ? patch.share[k] : 0;
    }
    for (const Sum& sum : sums)
        picture.share.push_back(sum.mean());
}

} // namespace

report::MapCells read_conifer_cells(const RunFolder& run, const Box& box, std::int64_t most_cells)
{
    FuelUsed fuel{run.file(fuel_used_file)};
    const CellRect all = cells_about(fuel.grid(), box);
    const double count = static_cast<double>(all.cols) * static_cast<double>(all.rows);
    const auto side = static_cast<std::int64_t>(
        std::max(1.0, std::ceil(std::sqrt(count / static_cast<double>(most_cells)))));
    report::MapCells picture;
    const double width = fuel.grid().cell_width_m();
    const double height = fuel.grid().cell_height_m();
    picture.corner = {static_cast<double>(all.col) * width, -static_cast<double>(all.row) * height};
    picture.width_m = static_cast<double>(side) * width;
    picture.height_m = static_cast<double>(side) * height;
    picture.cols = static_cast<int>((all.cols + side - 1) / side);
    picture.rows = static_cast<int>((all.rows + side - 1) / side);
    for (std::int64_t row = 0; row < all.rows; row += side)
        add_row(fuel.read({all.col, all.row + row, all.cols, std::min(side, all.rows - row)}), side,
                picture);
    return picture;
}

} // namespace fuelring
