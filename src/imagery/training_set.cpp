// SPDX-License-Identifier: Apache-2.0
#include "imagery/training_set.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

namespace fuelring {

namespace {

constexpr double widest_square_m = 1000;
constexpr double least_square_m = 50;
constexpr std::size_t enough_squares = 10;

using Names = std::vector<std::string>;

Names squares_of(const std::vector<TrainingArea>& areas, double side_cells)
{
    Names names;
    for (const TrainingArea& area : areas)
        names.push_back(
            std::to_string(static_cast<std::int64_t>(std::floor(area.row / side_cells))) + "/" +
            std::to_string(static_cast<std::int64_t>(std::floor(area.col / side_cells))));
    return names;
}

std::size_t count_of(Names names)
{
    std::ranges::sort(names);
    return static_cast<std::size_t>(std::unique(names.begin(), names.end()) - names.begin());
}

Names blocks_of(const std::vector<TrainingArea>& areas, double cell_m)
{
    const bool named = std::ranges::any_of(areas, [](const auto& a) { return !a.block.empty(); });
    if (named) {
        Names names;
        for (const TrainingArea& area : areas)
            names.push_back(area.block);
        return names;
    }
    Names names;
    for (double side_m = widest_square_m; side_m >= least_square_m; side_m /= 2) {
        names = squares_of(areas, side_m / cell_m);
        if (count_of(names) >= enough_squares)
            break;
    }
    return names;
}

} // namespace

float conifer_share_of(FuelGroup group)
{
    return group == FuelGroup::conifer ? 1.0F : group == FuelGroup::mixed ? 0.5F : 0.0F;
}

bool is_tree(FuelGroup group)
{
    return group == FuelGroup::conifer || group == FuelGroup::mixed ||
           group == FuelGroup::broadleaved;
}

std::vector<float> TrainingSet::true_shares() const
{
    std::vector<float> shares;
    for (const std::uint8_t k : cells.classes)
        shares.push_back(share_of_class(k));
    return shares;
}

ClassedCells cells_of_use(const TrainingSet& set, TrainingArea::Use use,
                          std::vector<std::size_t>& classes)
{
    std::vector<bool> there(set.groups.size());
    const auto is_used = [&](std::size_t i) { return set.areas[set.area_of[i]].use == use; };
    for (std::size_t i = 0; i < set.cells.size(); ++i)
        if (is_used(i))
            there[set.cells.classes[i]] = true;
    classes.clear();
    std::vector<std::uint8_t> number(set.groups.size());
    for (std::size_t k = 0; k < there.size(); ++k)
        if (there[k]) {
            number[k] = static_cast<std::uint8_t>(classes.size());
            classes.push_back(k);
        }
    ClassedCells cells;
    cells.features = set.cells.features;
    for (std::size_t i = 0; i < set.cells.size(); ++i)
        if (is_used(i))
            cells.add(set.cells.at(i), number[set.cells.classes[i]], set.cells.weights[i]);
    return cells;
}

void weigh_by_area(TrainingSet& set)
{
    double sum = 0;
    for (std::size_t i = 0; i < set.cells.size(); ++i) {
        const double cells = static_cast<double>(set.areas[set.area_of[i]].cells);
        set.cells.weights[i] = static_cast<float>(1 / std::sqrt(cells));
        sum += set.cells.weights[i];
    }
    const auto scale = static_cast<float>(static_cast<double>(set.cells.size()) / sum);
    for (float& weight : set.cells.weights)
        weight *= scale;
}

std::vector<std::size_t> folds_of(const std::vector<TrainingArea>& areas, double cell_m,
                                  std::size_t most)
{
    const Names names = blocks_of(areas, cell_m);
    std::map<std::string, std::int64_t> cells_of;
    for (std::size_t k = 0; k < areas.size(); ++k)
        cells_of[names[k]] += areas[k].cells;
    // The largest blocks first, so that folds come out much the same.
    std::vector<std::pair<std::int64_t, std::string>> order;
    for (const auto& [name, cells] : cells_of)
        if (cells > 0)
            order.emplace_back(-cells, name);
    std::ranges::sort(order);
    std::map<std::string, std::size_t> fold_of;
    for (std::size_t k = 0; k < order.size(); ++k)
        fold_of[order[k].second] = k % most;
    std::vector<std::size_t> folds;
    for (const std::string& name : names)
        folds.push_back(fold_of[name]);
    return folds;
}

} // namespace fuelring
