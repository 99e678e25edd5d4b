// SPDX-License-Identifier: Apache-2.0
#include "imagery/judgement.hpp"

#include <algorithm>
#include <cstddef>
#include <utility>

namespace fuelring {

namespace {

std::optional<double> quotient(double part, double all)
{
    return all > 0 ? std::optional{part / all} : std::nullopt;
}

bool is_conifer(float share)
{
    return share > 0.5F;
}

/// Ranks by the shares: of each run of equal ones, all have the middle.
std::optional<double> area_under_curve(std::span<const float> shares, std::span<const float> truth)
{
    std::vector<std::pair<float, bool>> order;
    for (std::size_t i = 0; i < shares.size(); ++i)
        order.emplace_back(shares[i], truth[i] >= 0.5F);
    std::ranges::sort(order);
    double won = 0, conifers = 0, others = 0;
    for (std::size_t first = 0, last = 0; first < order.size(); first = last) {
        double tied_conifers = 0, tied_others = 0;
        for (; last < order.size() && order[last].first == order[first].first; ++last)
            (order[last].second ? tied_conifers : tied_others) += 1;
        won += tied_conifers * (others + tied_others / 2);
        conifers += tied_conifers;
        others += tied_others;
    }
    return quotient(won, conifers * others);
}

void count_classes(const TrainingSet& set, const HeldOut& held, Judgement& into)
{
    const std::size_t classes = set.groups.size();
    into.confusion.assign(classes, std::vector<std::int64_t>(classes));
    std::int64_t right = 0;
    for (std::size_t i = 0; i < set.cells.size(); ++i) {
        const auto* first = held.likelihoods.data() + i * classes;
        const auto told =
            static_cast<std::size_t>(std::max_element(first, first + classes) - first);
        ++into.confusion[set.cells.classes[i]][told];
        into.class_share += set.share_of_class(told);
        right += told == set.cells.classes[i] ? 1 : 0;
    }
    into.accuracy = static_cast<double>(right) / static_cast<double>(set.cells.size());
    into.class_share /= static_cast<double>(set.cells.size());
}

ConiferTest test_areas(const TrainingSet& set, const HeldOut& held)
{
    std::vector<double> sums(set.areas.size()), raw_sums(set.areas.size());
    for (std::size_t i = 0; i < set.cells.size(); ++i) {
        sums[set.area_of[i]] += held.shares[i];
        raw_sums[set.area_of[i]] += held.raw_shares[i];
    }
    std::vector<float> shares, raw, truth;
    for (std::size_t k = 0; k < sums.size(); ++k) {
        const auto cells = static_cast<double>(set.areas[k].cells);
        if (cells == 0)
            continue;
        shares.push_back(static_cast<float>(sums[k] / cells));
        raw.push_back(static_cast<float>(raw_sums[k] / cells));
        truth.push_back(conifer_share_of(set.areas[k].group));
    }
    ConiferTest test = conifer_test(shares, truth);
    test.area_under_curve = area_under_curve(raw, truth);
    return test;
}

} // namespace

ConiferTest conifer_test(std::span<const float> shares, std::span<const float> truth)
{
    ConiferTest test;
    test.count = static_cast<std::int64_t>(shares.size());
    std::array<double, 2> all{}, right{};
    for (std::size_t i = 0; i < shares.size(); ++i) {
        const bool conifer = truth[i] >= 0.5F;
        all[conifer ? 1 : 0] += 1;
        right[conifer ? 1 : 0] += is_conifer(shares[i]) == conifer ? 1 : 0;
        test.mean_share += shares[i];
        test.mean_truth += truth[i];
    }
    const double count = all[0] + all[1];
    if (count == 0)
        return test;
    test.accuracy = (right[0] + right[1]) / count;
    if (all[0] > 0 && all[1] > 0)
        test.balanced_accuracy = (right[0] / all[0] + right[1] / all[1]) / 2;
    test.area_under_curve = area_under_curve(shares, truth);
    test.mean_share /= count;
    test.mean_truth /= count;
    return test;
}

std::optional<double> Judgement::users_accuracy(std::size_t k) const
{
    double told = 0;
    for (const auto& row : confusion)
        told += static_cast<double>(row[k]);
    return quotient(static_cast<double>(confusion[k][k]), told);
}

std::optional<double> Judgement::producers_accuracy(std::size_t k) const
{
    double is = 0;
    for (const std::int64_t cells_told : confusion[k])
        is += static_cast<double>(cells_told);
    return quotient(static_cast<double>(confusion[k][k]), is);
}

Judgement judged(const TrainingSet& set, const HeldOut& held)
{
    Judgement result;
    count_classes(set, held, result);
    const std::vector<float> truth = set.true_shares();
    result.cells = conifer_test(held.shares, truth);
    result.raw = conifer_test(held.raw_shares, truth);
    result.cells.area_under_curve = result.raw.area_under_curve;
    result.areas = test_areas(set, held);
    for (std::size_t i = 0; i < truth.size(); ++i) {
        const auto bin = static_cast<std::size_t>(std::clamp(held.shares[i] * 10, 0.0F, 9.0F));
        ReliabilityBin& into = result.reliability[bin];
        ++into.cells;
        into.mean_share += held.shares[i];
        into.mean_truth += truth[i];
    }
    for (ReliabilityBin& bin : result.reliability)
        if (bin.cells > 0) {
            bin.mean_share /= static_cast<double>(bin.cells);
            bin.mean_truth /= static_cast<double>(bin.cells);
        }
    return result;
}

} // namespace fuelring
