// SPDX-License-Identifier: Apache-2.0
#include "run/classify/class_model.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <utility>

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

/// Shares of conifers that trees tell of a set's cells.
std::vector<float> told_shares(const TreeModel& trees, const std::vector<FuelGroup>& groups,
                               const ClassedCells& cells)
{
    std::vector<float> shares;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const std::vector<float> likelihoods = trees.likelihoods(cells.at(i));
        float share = 0;
        for (std::size_t k = 0; k < likelihoods.size(); ++k)
            share += likelihoods[k] * conifer_share_of(groups[k]);
        shares.push_back(share);
    }
    return shares;
}

std::int64_t seen_areas(const TrainingSet& set, TrainingArea::Use use)
{
    return std::ranges::count_if(
        set.areas, [use](const TrainingArea& a) { return a.use == use && a.cells > 0; });
}

std::optional<VisitTest> judged_visits(const TreeModel& trees, const TrainingSet& set,
                                       const TrainingSet& control)
{
    VisitTest test{seen_areas(set, TrainingArea::Use::visit),
                   seen_areas(control, TrainingArea::Use::control),
                   {},
                   {}};
    if (test.learned + test.controls == 0)
        return std::nullopt;
    const std::vector<float> truth = control.true_shares();
    test.with = conifer_test(told_shares(trees, set.groups, control.cells), truth);
    std::vector<std::size_t> classes;
    const ClassedCells alone = cells_of_use(set, TrainingArea::Use::training, classes);
    if (test.learned == 0 || test.controls == 0 || classes.size() < 2)
        return test;
    std::vector<FuelGroup> groups;
    for (const std::size_t k : classes)
        groups.push_back(set.groups[k]);
    test.without = conifer_test(
        told_shares(TreeModel::learned(alone, groups.size()), groups, control.cells), truth);
    return test;
}

/// Areas that were kept apart, with what is told of them; they belong to no fold.
void add_controls(TrainingSet& control, ClassModel& model)
{
    std::vector<float> told = told_shares(model.trees, model.groups, control.cells);
    std::vector<double> sums(control.areas.size());
    for (std::size_t i = 0; i < told.size(); ++i)
        sums[control.area_of[i]] += static_cast<double>(model.calibration(told[i]));
    for (std::size_t k = 0; k < sums.size(); ++k) {
        const auto cells = static_cast<double>(control.areas[k].cells);
        model.held_out_share.push_back(cells > 0 ? sums[k] / cells
                                                 : std::numeric_limits<double>::quiet_NaN());
        model.fold_of_area.push_back(no_fold);
        model.areas.push_back(std::move(control.areas[k]));
    }
}

} // namespace

ClassModel learn_model(TrainingSet& set, TrainingSet& control, double cell_m, int jobs,
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
    model.fold_errors = errors_by_fold(held.shares, set.true_shares(), folds);
    model.share_half_width = half_width(set, held, folds, model.folds);
    model.ranges = ranges_of(set.cells);
    model.trees = TreeModel::learned(set.cells, set.groups.size());
    model.cells = static_cast<std::int64_t>(set.cells.size());
    model.visits = judged_visits(model.trees, set, control);
    model.areas = std::move(set.areas);
    add_controls(control, model);
    return model;
}

ClassModel rule_model(const WinterRule& rule, const FeaturePlan& plan, const std::string& config)
{
    if (!plan.has_greenness(Season::leaf_off) || !plan.has_height())
        throw Error{
            Failure::usage,
            std::string{"no table [imagery.training], and the rule that stands in for it "
                        "needs "} +
                (plan.has_height() ? "an image without leaves: red and near infrared" : "heights"),
            config,
            "add training areas with path and group, or an image with season = "
            "\"leaf_off\" and the roles red and near_infrared, and one with the role "
            "height"};
    ClassModel model;
    model.rule = rule;
    model.groups = {FuelGroup::conifer, FuelGroup::broadleaved};
    if (plan.has_greenness(Season::leaf_on))
        model.groups.push_back(FuelGroup::built);
    return model;
}

std::string method_of(const ClassModel& model)
{
    if (model.rule)
        return fmt::format("By a rule, without training: conifers are where it is {} m high or "
                           "more and green in winter. How good it is, nobody has measured.",
                           model.rule->tall_m);
    return "Learned from training areas; accuracy.csv says how well land is told that the model "
           "had not seen.";
}

} // namespace fuelring
