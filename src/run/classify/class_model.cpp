// SPDX-License-Identifier: Apache-2.0
#include "run/classify/class_model.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

namespace fuelring {

namespace {

constexpr std::size_t most_folds = 30;
constexpr double normal_95 = 1.96;

void require_classes(const TrainingSet& set, const std::string& path)
{
    if (set.cells.size() == 0)
        throw Error{Failure::input,
                    fmt::format("none of the {} training areas lies where all images know the land",
                                set.areas.size()),
                    path,
                    "check that images and training show the same place (imagery.training.crs)"};
    if (set.groups.size() < 2)
        throw Error{Failure::input,
                    fmt::format("all training areas that the images show are {}: one group cannot "
                                "be told from nothing",
                                name_of(set.groups.front())),
                    path, "add areas of other groups, such as broadleaved, grass and built"};
}

std::vector<std::size_t> fold_of_cells(const TrainingSet& set,
                                       const std::vector<std::size_t>& fold_of_area)
{
    std::vector<std::size_t> folds;
    for (const std::uint32_t area : set.area_of)
        folds.push_back(fold_of_area[area]);
    return folds;
}

std::vector<double> shares_of_areas(const TrainingSet& set, const HeldOut& held)
{
    std::vector<double> sums(set.areas.size());
    for (std::size_t i = 0; i < set.cells.size(); ++i)
        sums[set.area_of[i]] += held.shares[i];
    for (std::size_t k = 0; k < sums.size(); ++k)
        sums[k] = set.areas[k].cells > 0 ? sums[k] / static_cast<double>(set.areas[k].cells)
                                         : std::numeric_limits<double>::quiet_NaN();
    return sums;
}

/// Folds are as many independent looks; their errors, weighted by cells, have a spread.
double half_width(const TrainingSet& set, const HeldOut& held,
                  const std::vector<std::size_t>& folds, std::size_t count)
{
    std::vector<double> errors(count);
    const std::vector<float> truth = set.true_shares();
    for (std::size_t i = 0; i < truth.size(); ++i)
        errors[folds[i]] += held.shares[i] - truth[i];
    double squares = 0;
    for (const double error : errors)
        squares += error * error;
    const auto n = static_cast<double>(count);
    return normal_95 * std::sqrt(squares * n / (n - 1)) / static_cast<double>(truth.size());
}

std::vector<std::pair<float, float>> ranges_of(const ClassedCells& cells)
{
    std::vector<std::pair<float, float>> ranges(
        cells.features, {std::numeric_limits<float>::max(), std::numeric_limits<float>::lowest()});
    for (std::size_t i = 0; i < cells.size(); ++i)
        for (std::size_t k = 0; k < cells.features; ++k) {
            ranges[k].first = std::min(ranges[k].first, cells.at(i)[k]);
            ranges[k].second = std::max(ranges[k].second, cells.at(i)[k]);
        }
    return ranges;
}

} // namespace

ClassModel learn_model(const TrainingSet& set, double cell_m, int jobs,
                       const std::string& training_path, const std::function<void()>& stop)
{
    require_classes(set, training_path);
    ClassModel model;
    model.groups = set.groups;
    model.only_trees = std::ranges::all_of(set.groups, is_tree);
    model.fold_of_area = folds_of(set.areas, cell_m, most_folds);
    const std::vector<std::size_t> folds = fold_of_cells(set, model.fold_of_area);
    model.folds = std::set<std::size_t>(folds.begin(), folds.end()).size();
    if (model.folds < 2)
        throw Error{Failure::input,
                    "all training areas lie in one block, so that accuracy cannot be measured",
                    training_path,
                    "add areas in other places, or name a column of blocks: "
                    "imagery.training.block"};
    const HeldOut held = hold_out(set, folds, jobs, stop);
    model.by_block = judged(set, held);
    model.by_cell = judged(set, hold_out(set, folds_by_cell(set.cells.size()), jobs, stop));
    model.calibration = held.calibration;
    model.held_out_share = shares_of_areas(set, held);
    model.share_half_width = half_width(set, held, folds, model.folds);
    model.ranges = ranges_of(set.cells);
    model.trees = TreeModel::learned(set.cells, set.groups.size());
    return model;
}

} // namespace fuelring
