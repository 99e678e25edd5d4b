// SPDX-License-Identifier: Apache-2.0

// Ground to plan on, from pictures and from seeds.
#pragma once

#include "plan/chosen_cells.hpp"
#include "plan/units.hpp"

#include <atomic>
#include <functional>
#include <random>
#include <string>
#include <thread>
#include <vector>

namespace fuelring::test {

/// One cell of a made-up ground.
struct GroundCell {
    plan::ZoneId zone = 1;
    std::uint16_t share = 0;
    float points = 0;
    std::uint8_t ring = 0;
};

/// Cells of 1 m; `at` is asked for rows and columns from the corner (row0, col0) on.
inline plan::PlanGrid make_ground(std::int64_t row0, std::int64_t col0, std::int64_t rows,
                                  std::int64_t cols,
                                  const std::function<GroundCell(std::int64_t, std::int64_t)>& at,
                                  std::vector<double> cost_per_m2 = {0, 1, 1, 1},
                                  double residual = 0)
{
    constexpr std::int64_t side = plan::block_cells;
    plan::PlanGrid grid{1, 1, cost_per_m2, cost_per_m2};
    std::vector<plan::Block> blocks;
    for (std::int64_t r = row0 / side; r * side < row0 + rows; ++r)
        for (std::int64_t c = col0 / side; c * side < col0 + cols; ++c) {
            std::vector<plan::ZoneId> zone(side * side);
            std::vector<std::uint16_t> share(side * side);
            std::vector<float> points(side * side);
            std::vector<std::uint8_t> ring(side * side);
            for (std::int64_t k = 0; k < side * side; ++k) {
                const std::int64_t row = r * side + k / side - row0;
                const std::int64_t col = c * side + k % side - col0;
                if (row < 0 || col < 0 || row >= rows || col >= cols)
                    continue;
                const GroundCell cell = at(row, col);
                const auto i = static_cast<std::size_t>(k);
                zone[i] = cell.zone;
                share[i] = cell.share;
                points[i] = cell.points;
                ring[i] = cell.ring;
            }
            blocks.push_back(plan::make_block(
                {{c * side, r * side, side, side}, 1, zone, share, points, ring}, cost_per_m2,
                std::vector(cost_per_m2.size(), plan::Residual{residual})));
        }
    grid.set_blocks(std::move(blocks));
    return grid;
}

/// From a picture: '#' conifers that save 1 point, digits as many points, '.' open ground, 'x' a
/// road, 'o' open ground of another owner, 'O' conifers there.
inline plan::PlanGrid make_ground(const std::vector<std::string>& picture, std::int64_t row0 = 0,
                                  std::int64_t col0 = 0)
{
    const auto cell_of = [&](std::int64_t row, std::int64_t col) -> GroundCell {
        const char c = picture[static_cast<std::size_t>(row)][static_cast<std::size_t>(col)];
        switch (c) {
        case 'x':
            return {plan::no_zone, 0, 0, 0};
        case 'o':
            return {2, 0, 0, 0};
        case 'O':
            return {2, 10'000, 1, 0};
        case '.':
            return {1, 0, 0, 0};
        default:
            return {1, 10'000, c == '#' ? 1.0F : static_cast<float>(c - '0'), 0};
        }
    };
    return make_ground(row0, col0, static_cast<std::int64_t>(picture.size()),
                       static_cast<std::int64_t>(picture.front().size()), cell_of);
}

/// Hedges, crowns and stands on a road grid, the nearer to (0, 0) the more a cell saves.
inline plan::PlanGrid make_random_ground(unsigned seed, std::int64_t side, std::int64_t corner = 0)
{
    std::mt19937 random{seed};
    std::vector<GroundCell> cells(static_cast<std::size_t>(side * side));
    const auto cell = [&](std::int64_t row, std::int64_t col) -> GroundCell& {
        return cells[static_cast<std::size_t>(row * side + col)];
    };
    const auto any = [&](std::int64_t below) {
        return static_cast<std::int64_t>(random() % static_cast<unsigned>(below));
    };
    for (std::int64_t k = 0; k < side * side / 60; ++k) {
        const std::int64_t row = any(side);
        const std::int64_t col = any(side);
        const std::int64_t rows = 1 + any(k % 9 == 0 ? 12 : 3);
        const std::int64_t cols = 1 + any(6);
        const std::uint16_t share = k % 3 == 0 ? 5'000 : 10'000;
        for (std::int64_t r = row; r < std::min(side, row + rows); ++r)
            for (std::int64_t c = col; c < std::min(side, col + cols); ++c)
                cell(r, c).share = share;
    }
    for (std::int64_t row = 0; row < side; ++row)
        for (std::int64_t col = 0; col < side; ++col) {
            GroundCell& here = cell(row, col);
            here.zone =
                row % 37 == 36 ? plan::no_zone : static_cast<plan::ZoneId>(1 + (col / 23) % 3);
            here.ring = static_cast<std::uint8_t>((row + col) % 4);
            const auto far = static_cast<float>(1 + (row % 40) + (col % 40));
            here.points = 1e-4F * static_cast<float>(here.share) *
                          (1 + 0.01F * static_cast<float>(any(100))) / far;
        }
    return make_ground(corner, corner, side, side,
                       [&](std::int64_t row, std::int64_t col) { return cell(row, col); },
                       {0, 1, 0.5, 2});
}

/// Work shared out to so many threads.
inline plan::ShareOut threads(std::size_t count)
{
    return [count](std::size_t items,
                   const std::function<void(const std::function<std::size_t()>&)>& work) {
        std::atomic<std::size_t> cursor = 0;
        const std::function<std::size_t()> next = [&] {
            return std::min(cursor.fetch_add(1), items);
        };
        std::vector<std::jthread> others;
        for (std::size_t k = 1; k < count; ++k)
            others.emplace_back([&] { work(next); });
        work(next);
    };
}

/// Over gaps between cells of all rings.
inline plan::GapLinks links_of(const plan::PlanGrid& grid, double gap_m)
{
    return plan::GapLinks{grid, gap_m, 3, threads(2)};
}

/// Every conifer cell that is worth something.
inline plan::ChosenCells all_cells(const plan::PlanGrid& grid, double gap_m)
{
    const plan::Labelling labelling{grid, plan::Selection{}, links_of(grid, gap_m), threads(1)};
    return {grid, labelling, std::vector<std::uint8_t>(labelling.parts(), 1), {}};
}

} // namespace fuelring::test
