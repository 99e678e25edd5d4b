// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace fuelring {

/// Cells with known features and a known class.
struct ClassedCells {
    std::size_t features = 0;
    std::vector<float> values;         ///< cell by cell
    std::vector<std::uint8_t> classes; ///< by cell, from 0 up
    std::vector<float> weights;        ///< by cell; above 0

    std::size_t size() const { return classes.size(); }
    std::span<const float> at(std::size_t cell) const
    {
        return std::span{values}.subspan(cell * features, features);
    }
    void add(std::span<const float> cell, std::uint8_t class_index, float weight);
};

/// Trees that tell classes, learned by gradient boosting.
///
/// The library learns; walking the trees is done here, since a cell has to take less than a
/// microsecond: every tree has the same depth, so that no step asks whether it is at a leaf.
/// Threads: a model may be used by any number of them.
class TreeModel {
public:
    static constexpr int depth = 3;
    static constexpr std::size_t splits = (1U << depth) - 1;
    static constexpr std::size_t leaves = 1U << depth;

    /// Learns from cells of `class_count` classes, of which every one occurs.
    /// Law: the same cells give the same model, bit for bit: one thread, a fixed seed.
    /// Throws: Error{input} with the library's reason.
    /// Source: Chen and Guestrin 2016, XGBoost: a scalable tree boosting system, arXiv:1603.02754.
    static TreeModel learned(const ClassedCells& cells, std::size_t class_count);

    std::size_t class_count() const { return class_count_; }

    /// Likelihoods of the classes of several cells, class by class.
    /// Shape: `planes` holds one span for each feature, all of as many cells; `into` class_count()
    /// times as many values, those of class 0 first. None is NaN.
    /// Law: a cell's values depend on its features alone.
    void apply(const std::vector<std::span<const float>>& planes, std::span<float> into) const;
    /// The same of one cell, whose features stand side by side.
    std::vector<float> likelihoods(std::span<const float> cell) const;

    /// What each feature brought to the trees: sums to 1.
    const std::vector<double>& importance() const { return importance_; }

    /// All members in order, read from or written to `bytes` (base/serialization.hpp).
    template <typename Bytes, typename Model>
    static void archive(Bytes& bytes, Model& model)
    {
        auto classes = static_cast<std::uint64_t>(model.class_count_);
        auto count = static_cast<std::uint64_t>(model.trees_.size());
        bytes(classes, count, model.base_, model.importance_);
        if constexpr (Bytes::reads) {
            model.class_count_ = static_cast<std::size_t>(classes);
            model.trees_.clear();
        }
        for (std::size_t k = 0; k < count; ++k) {
            if constexpr (Bytes::reads)
                model.trees_.emplace_back(); // no room made for a number that may be wrong
            auto& tree = model.trees_[k];
            for (auto& threshold : tree.threshold)
                bytes(threshold);
            for (auto& feature : tree.feature)
                bytes(feature);
            for (auto& leaf : tree.leaf)
                bytes(leaf);
            bytes(tree.class_index);
        }
    }

private:
    struct Tree {
        std::array<float, splits> threshold{};       ///< below it a cell goes to the left
        std::array<std::uint16_t, splits> feature{}; ///< by node, the root first
        std::array<float, leaves> leaf{};
        std::uint16_t class_index = 0; ///< whose sum the leaf is added to
    };
    friend class TreeReader;

    std::size_t class_count_ = 0;
    std::vector<float> base_; ///< by sum, before any tree
    std::vector<Tree> trees_;
    std::vector<double> importance_;
};

} // namespace fuelring
