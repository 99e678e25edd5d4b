// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <vector>

namespace fuelring {

/// Numbers from 0 in disjoint sets that can be united (union-find with path halving). The lowest
/// number of a set stands for it, so what stands for a set does not depend on the order of unions.
///
///     DisjointSets<std::int32_t> sets{cells.size()};
///     sets.unite(3, 1);
///     sets.find(3); // 1
///
/// Cost: a find takes time that grows with the logarithm of the count, taken over many calls; the
/// shape of the trees is not balanced by size, since the lowest number must lead.
/// Threads: one at a time, also for find, which shortens the path that it walks.
/// Source: Tarjan and van Leeuwen 1984, Worst-case analysis of set union algorithms.
template <typename Number>
class DisjointSets {
public:
    /// Each of the numbers below `count` alone.
    /// Requires: `Number` holds count - 1.
    explicit DisjointSets(std::size_t count = 0) : parent_(count)
    {
        std::iota(parent_.begin(), parent_.end(), Number{0});
    }
    std::size_t size() const { return parent_.size(); }

    /// What stands for the set of k: its lowest number. Requires: k < size().
    Number find(Number k)
    {
        while (parent(k) != k)
            k = parent(k) = parent(parent(k));
        return k;
    }
    /// False where they are in one set already.
    bool unite(Number a, Number b)
    {
        a = find(a);
        b = find(b);
        parent(std::max(a, b)) = std::min(a, b);
        return a != b;
    }

private:
    Number& parent(Number k) { return parent_[static_cast<std::size_t>(k)]; }
    std::vector<Number> parent_;
};

} // namespace fuelring
