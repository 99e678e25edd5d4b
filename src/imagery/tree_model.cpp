// SPDX-License-Identifier: Apache-2.0

// Two classes have one sum of leaves, whose logistic function is the likelihood of class 1; more
// have a sum each, compared by softmax. Cells are walked in batches, feature by feature side by
// side: the walks of neighbouring cells do not wait for each other.
#include "imagery/tree_model.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr std::size_t batch = 256;

void to_likelihoods(std::vector<std::array<float, batch>>& sums, std::size_t count)
{
    for (std::size_t i = 0; i < count; ++i) {
        float largest = sums[0][i];
        for (const auto& sum : sums)
            largest = std::max(largest, sum[i]);
        float all = 0;
        for (auto& sum : sums)
            all += sum[i] = std::exp(sum[i] - largest);
        for (auto& sum : sums)
            sum[i] /= all;
    }
}

} // namespace

void ClassedCells::add(std::span<const float> cell, std::uint8_t class_index, float weight)
{
    values.insert(values.end(), cell.begin(), cell.end());
    classes.push_back(class_index);
    weights.push_back(weight);
}

void TreeModel::apply(const std::vector<std::span<const float>>& planes,
                      std::span<float> into) const
{
    const std::size_t cells = into.size() / class_count_;
    const bool two = class_count_ == 2;
    std::vector<std::array<float, batch>> sums(class_count_);
    for (std::size_t first = 0; first < cells; first += batch) {
        const std::size_t count = std::min(batch, cells - first);
        for (std::size_t k = 0; k < class_count_; ++k)
            sums[k].fill(base_[k]);
        for (const Tree& tree : trees_) {
            auto& sum = sums[tree.class_index];
            for (std::size_t i = 0; i < count; ++i) {
                std::size_t node = 0;
                for (int level = 0; level < depth; ++level)
                    node = 2 * node + 1 +
                           (planes[tree.feature[node]][first + i] < tree.threshold[node] ? 0U : 1U);
                sum[i] += tree.leaf[node - splits];
            }
        }
        if (two) // the sum of class 0 is 0
            sums[0].fill(0);
        to_likelihoods(sums, count);
        for (std::size_t k = 0; k < class_count_; ++k)
            std::copy_n(sums[k].begin(), count,
                        into.begin() + static_cast<std::ptrdiff_t>(k * cells + first));
    }
}

std::vector<float> TreeModel::likelihoods(std::span<const float> cell) const
{
    std::vector<std::span<const float>> planes;
    for (std::size_t k = 0; k < cell.size(); ++k)
        planes.push_back(cell.subspan(k, 1));
    std::vector<float> all(class_count_);
    apply(planes, all);
    return all;
}

} // namespace fuelring
