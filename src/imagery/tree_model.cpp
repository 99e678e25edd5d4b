// SPDX-License-Identifier: Apache-2.0

// Two classes have one sum of leaves, whose logistic function is the likelihood of class 1; more
// have a sum each, compared by softmax. Cells are told in batches, tree by tree: all seven
// questions of a tree are asked of every cell, and the leaf is chosen from the answers. That has no
// branches, so a compiler puts eight or sixteen cells into one register. Comparing, choosing and
// adding are exact or rounded alike on any processor, so that the bits do not depend on it.
#include "imagery/tree_model.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

constexpr std::size_t batch = 256;

/// What a tree asks, and where the answers lie, for one batch of cells.
struct Questions {
    std::array<const float*, TreeModel::splits> values; ///< by node, cell by cell
    const float* threshold;                             ///< by node
    const float* leaf;
};

[[gnu::always_inline]] inline void add_leaves(const Questions& ask, std::size_t count,
                                              float* __restrict sum)
{
    const auto& v = ask.values;
    const float *v0 = v[0], *v1 = v[1], *v2 = v[2], *v3 = v[3], *v4 = v[4], *v5 = v[5], *v6 = v[6];
    const float* const t = ask.threshold;
    const float* const leaf = ask.leaf;
    const float t0 = t[0], t1 = t[1], t2 = t[2], t3 = t[3], t4 = t[4], t5 = t[5], t6 = t[6];
    const float l0 = leaf[0], l1 = leaf[1], l2 = leaf[2], l3 = leaf[3];
    const float l4 = leaf[4], l5 = leaf[5], l6 = leaf[6], l7 = leaf[7];
    for (std::size_t i = 0; i < count; ++i) {
        const float a = v3[i] < t3 ? l0 : l1;
        const float b = v4[i] < t4 ? l2 : l3;
        const float c = v5[i] < t5 ? l4 : l5;
        const float d = v6[i] < t6 ? l6 : l7;
        const float left = v1[i] < t1 ? a : b;
        const float right = v2[i] < t2 ? c : d;
        sum[i] += v0[i] < t0 ? left : right;
    }
}

void add_leaves_anywhere(const Questions& ask, std::size_t count, float* __restrict sum)
{
    add_leaves(ask, count, sum);
}

#if defined(__x86_64__)
[[gnu::target("avx2")]] void add_leaves_by_eights(const Questions& ask, std::size_t count,
                                                  float* __restrict sum)
{
    add_leaves(ask, count, sum);
}
#    if defined(__clang__)
[[gnu::target("avx512f")]]
#    else
[[gnu::target("avx512f,prefer-vector-width=512")]]
#    endif
void add_leaves_by_sixteens(const Questions& ask, std::size_t count, float* __restrict sum)
{
    add_leaves(ask, count, sum);
}
const auto add_leaves_here = __builtin_cpu_supports("avx512f") ? add_leaves_by_sixteens
                             : __builtin_cpu_supports("avx2")  ? add_leaves_by_eights
                                                               : add_leaves_anywhere;
#else
const auto add_leaves_here = add_leaves_anywhere;
#endif

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
            Questions ask{{}, tree.threshold.data(), tree.leaf.data()};
            for (std::size_t node = 0; node < splits; ++node)
                ask.values[node] = planes[tree.feature[node]].data() + first;
            add_leaves_here(ask, count, sums[tree.class_index].data());
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
