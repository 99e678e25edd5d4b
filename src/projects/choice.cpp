// SPDX-License-Identifier: Apache-2.0
#include "projects/choice.hpp"

#include <algorithm>

namespace fuelring {

namespace {

/// More options than this may be too many to search to the end.
constexpr std::size_t always_searched = 25;
constexpr std::int64_t most_nodes = 200'000;
/// Sums of points differ by so much in their last digits.
constexpr double last_digits = 1e-9;

class Search {
public:
    Search(const std::vector<ProjectOption>& options, const std::vector<double>& part_points,
           std::int64_t budget)
        : options_(options), part_points_(part_points), budget_(budget),
          limited_(options.size() > always_searched)
    {}

    ProjectChoice run()
    {
        std::vector<std::uint32_t> open;
        for (std::uint32_t k = 0; k < options_.size(); ++k)
            if (options_[k].cost <= budget_)
                open.push_back(k);
        descend({std::vector<double>(part_points_.size()), {}, 0, 0}, open);
        std::sort(best_.chosen.begin(), best_.chosen.end());
        best_.most_points = std::max(best_.points, left_open_);
        best_.proved_best = best_.most_points <= best_.points + last_digits;
        return best_;
    }

private:
    /// Some options that are taken, and what they take from each part.
    struct Node {
        std::vector<double> taken;
        std::vector<std::uint32_t> chosen;
        std::int64_t cost = 0;
        double points = 0;
    };
    /// An option that may still be taken, and what it would add.
    struct Candidate {
        std::uint32_t option;
        double adds;
    };

    double adds(const Node& node, std::uint32_t k) const
    {
        double points = 0;
        for (const PartTaken& part : options_[k].taken)
            points += part_points_[part.part] * std::max(0.0, part.taken - node.taken[part.part]);
        return points;
    }

    /// Best value for its cost first, those that cost nothing before all.
    std::vector<Candidate> candidates(const Node& node,
                                      const std::vector<std::uint32_t>& open) const
    {
        std::vector<Candidate> list;
        for (const std::uint32_t k : open)
            if (node.cost + options_[k].cost <= budget_)
                if (const double points = adds(node, k); points > 0)
                    list.push_back({k, points});
        std::stable_sort(list.begin(), list.end(), [&](const Candidate& a, const Candidate& b) {
            return a.adds * static_cast<double>(options_[b.option].cost) >
                   b.adds * static_cast<double>(options_[a.option].cost);
        });
        return list;
    }

    /// The fractional knapsack of candidates from `first` on.
    double bound(const Node& node, const std::vector<Candidate>& list, std::size_t first) const
    {
        double points = node.points;
        std::int64_t left = budget_ - node.cost;
        for (std::size_t k = first; k < list.size(); ++k) {
            const std::int64_t cost = options_[list[k].option].cost;
            if (cost > left)
                return points +
                       list[k].adds * static_cast<double>(left) / static_cast<double>(cost);
            points += list[k].adds;
            left -= cost;
        }
        return points;
    }

    Node with(const Node& node, const Candidate& candidate) const
    {
        Node more = node;
        for (const PartTaken& part : options_[candidate.option].taken)
            more.taken[part.part] = std::max(more.taken[part.part], part.taken);
        more.chosen.push_back(candidate.option);
        more.cost += options_[candidate.option].cost;
        more.points += candidate.adds;
        return more;
    }

    /// Takes each candidate in turn, those before it left out for good.
    void descend(const Node& node, const std::vector<std::uint32_t>& open)
    {
        ++nodes_;
        if (node.points > best_.points + last_digits) {
            best_.chosen = node.chosen;
            best_.cost = node.cost;
            best_.points = node.points;
        }
        const std::vector<Candidate> list = candidates(node, open);
        for (std::size_t k = 0; k < list.size(); ++k) {
            const double most = bound(node, list, k);
            if (most <= best_.points + last_digits)
                return; // so are those of fewer candidates
            if (limited_ && nodes_ >= most_nodes) {
                left_open_ = std::max(left_open_, most);
                return;
            }
            std::vector<std::uint32_t> rest;
            for (std::size_t later = k + 1; later < list.size(); ++later)
                rest.push_back(list[later].option);
            descend(with(node, list[k]), rest);
        }
    }

    const std::vector<ProjectOption>& options_;
    const std::vector<double>& part_points_;
    std::int64_t budget_;
    bool limited_;
    std::int64_t nodes_ = 0;
    double left_open_ = 0; ///< bound of what was not looked at
    ProjectChoice best_;
};

} // namespace

ProjectChoice best_choice(const std::vector<ProjectOption>& options,
                          const std::vector<double>& part_points, std::int64_t budget)
{
    return Search{options, part_points, budget}.run();
}

} // namespace fuelring
