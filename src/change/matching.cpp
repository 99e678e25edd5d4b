// SPDX-License-Identifier: Apache-2.0

// Ids first: whoever keeps them means the same house, as long as it stands on the same ground. Then
// outlines by intersection over union, the best pair first: greedy, but with a share of at least
// one half a house has hardly two candidates.
#include "change/matching.hpp"

#include <algorithm>
#include <array>
#include <tuple>

namespace fuelring {

namespace {

class Matcher {
public:
    Matcher(std::span<const MatchCandidate> before, std::span<const MatchCandidate> after)
        : before_(before), after_(after), of_before_(before.size()), of_after_(after.size())
    {}

    void match_ids(std::span<const SharedGround> shared)
    {
        for (const SharedGround& s : shared)
            if (before_[s.before].id == after_[s.after].id && s.shared_m2 > 0)
                join(s, s.same_outline ? MatchKind::same : MatchKind::redrawn);
    }

    void match_outlines(std::span<const SharedGround> shared)
    {
        std::vector<std::pair<double, const SharedGround*>> pairs;
        for (const SharedGround& s : shared) {
            const double either =
                before_[s.before].footprint_m2 + after_[s.after].footprint_m2 - s.shared_m2;
            if (s.shared_m2 > 0 && s.shared_m2 >= least_shared_frac * either)
                pairs.emplace_back(s.shared_m2 / either, &s);
        }
        // Ties by both numbers, whichever of the two is called the first.
        std::sort(pairs.begin(), pairs.end(), [](const auto& p, const auto& q) {
            const auto key = [](const auto& pair) {
                const SharedGround& s = *pair.second;
                return std::tuple{-pair.first, s.before + s.after, std::min(s.before, s.after),
                                  s.before};
            };
            return key(p) < key(q);
        });
        for (const auto& [frac, s] : pairs)
            join(*s, MatchKind::renamed);
    }

    std::vector<StructureMatch> result() const
    {
        std::vector<StructureMatch> matches;
        for (std::size_t a = 0; a < after_.size(); ++a)
            matches.push_back(of_after_[a] ? *of_after_[a]
                                           : StructureMatch{std::nullopt, a, MatchKind::added});
        for (std::size_t b = 0; b < before_.size(); ++b)
            if (!of_before_[b])
                matches.push_back({b, std::nullopt, MatchKind::removed});
        return matches;
    }

private:
    void join(const SharedGround& s, MatchKind kind)
    {
        if (of_before_[s.before] || of_after_[s.after])
            return;
        of_before_[s.before] = true;
        of_after_[s.after] = StructureMatch{s.before, s.after, kind};
    }

    std::span<const MatchCandidate> before_;
    std::span<const MatchCandidate> after_;
    std::vector<bool> of_before_;
    std::vector<std::optional<StructureMatch>> of_after_;
};

} // namespace

const char* name_of(MatchKind kind)
{
    return std::array{"same", "redrawn", "renamed", "added", "removed"}.at(
        static_cast<std::size_t>(kind));
}

std::vector<StructureMatch> match_structures(std::span<const MatchCandidate> before,
                                             std::span<const MatchCandidate> after,
                                             std::span<const SharedGround> shared)
{
    Matcher matcher{before, after};
    matcher.match_ids(shared);
    matcher.match_outlines(shared);
    return matcher.result();
}

} // namespace fuelring
