// SPDX-License-Identifier: Apache-2.0

// Ground near two structures must count once in a neighbourhood's hectares. So each structure
// brings what it adds to the union of those before it (geometry/dissolve), and sums of these are
// the area of the union; roofs are a union of their own, taken off at the end. The plain sums over
// structures stand beside it: their ratio tells how often the same trees threaten several homes.
#include "exposure/neighbourhoods.hpp"

#include "exposure/areas.hpp"
#include "exposure/percentile.hpp"

#include <algorithm>

namespace fuelring {

namespace {

/// Gathers the structures of one row, in their order.
class RowMaker {
public:
    RowMaker(std::string name, std::optional<std::size_t> neighbourhood, const RingPlan& plan)
        : roof_m2_(0), union_m2_(plan.outer_m.size()), sum_m2_(plan.outer_m.size()),
          mapped_(plan.outer_m.size())
    {
        row_.name = std::move(name);
        row_.neighbourhood = neighbourhood;
    }

    void add(const Structure& s, const StructureResult& r, std::span<const double> added_m2,
             std::span<const double> by_kind_m2, ConifersNear near)
    {
        by_kind_m2_.resize(std::max(by_kind_m2_.size(), by_kind_m2.size()));
        for (std::size_t k = 0; k < by_kind_m2.size(); ++k)
            by_kind_m2_[k] += by_kind_m2[k];
        ++row_.structures;
        row_.structures_measured += r.is_measured() ? 1 : 0;
        row_.structures_known_near += near != ConifersNear::unknown ? 1 : 0;
        row_.structures_near += near == ConifersNear::some ? 1 : 0;
        add_people(s, near == ConifersNear::some);
        if (r.exposure)
            exposures_.push_back(*r.exposure);
        susceptible_ += r.exposure_x_susceptibility.value_or(0);
        has_susceptibility_ |= r.exposure_x_susceptibility.has_value();
        roof_m2_ += added_m2.front();
        RingArea within;
        for (std::size_t k = 0; k < union_m2_.size(); ++k) {
            within = within + r.measure->rings[k];
            union_m2_[k] += added_m2[k + 1];
            sum_m2_[k] += within.conifer_m2;
            // One structure with known ground makes the figure known.
            mapped_[k] = mapped_[k] || within.counts_as_mapped();
        }
    }

    NeighbourhoodRow row() &&
    {
        if (!exposures_.empty()) {
            double sum = 0;
            for (const double e : exposures_)
                sum += e;
            row_.sum_exposure = sum;
            row_.mean_exposure = sum / static_cast<double>(exposures_.size());
            if (has_susceptibility_)
                row_.mean_exposure_x_susceptibility =
                    susceptible_ / static_cast<double>(exposures_.size());
            std::sort(exposures_.begin(), exposures_.end());
            row_.p90_exposure = percentile(exposures_, 90);
        }
        for (std::size_t k = 0; k < union_m2_.size(); ++k) {
            // Rounding must not leave a negative area.
            const double ha = std::max(union_m2_[k] - roof_m2_, 0.0) / m2_per_ha;
            row_.conifer_ha_within.push_back(mapped_[k] ? std::optional{ha} : std::nullopt);
            row_.sum_conifer_ha_within.push_back(mapped_[k] ? std::optional{sum_m2_[k] / m2_per_ha}
                                                            : std::nullopt);
            add_kinds(k);
        }
        return std::move(row_);
    }

private:
    void add_people(const Structure& s, bool near)
    {
        row_.homes += s.home ? 1 : 0;
        row_.homes_near += s.home && near ? 1 : 0;
        if (!s.people)
            return;
        row_.people = row_.people.value_or(0) + *s.people;
        row_.people_near = row_.people_near.value_or(0) + (near ? *s.people : 0);
    }

    void add_kinds(std::size_t k)
    {
        const std::size_t kinds = by_kind_m2_.size() / (union_m2_.size() + 1);
        for (std::size_t i = 0; i < kinds; ++i) {
            const double ha =
                std::max(by_kind_m2_[(k + 1) * kinds + i] - by_kind_m2_[i], 0.0) / m2_per_ha;
            row_.conifer_ha_by_kind.push_back(mapped_[k] ? std::optional{ha} : std::nullopt);
        }
    }

    NeighbourhoodRow row_;
    std::vector<double> exposures_;
    double susceptible_ = 0;
    bool has_susceptibility_ = false;
    double roof_m2_;
    std::vector<double> union_m2_;
    std::vector<double> sum_m2_;
    std::vector<double> by_kind_m2_; ///< of roofs, then within each distance
    std::vector<bool> mapped_;
};

/// The mean as ranks compare it; below all others where the row has no rank.
double rounded(const NeighbourhoodRow& row, RankBy by)
{
    const auto& mean =
        by == RankBy::exposure ? row.mean_exposure : row.mean_exposure_x_susceptibility;
    const bool known = static_cast<double>(row.structures_measured) >=
                       least_known_share * static_cast<double>(row.structures);
    // Means are 0 or more, so -1 sorts behind all of them.
    return rank_key(known ? mean.value_or(-1) : -1);
}

void rank_rows(std::vector<NeighbourhoodRow>& rows, RankBy by)
{
    std::stable_sort(rows.begin(), rows.end(),
                     [by](const NeighbourhoodRow& a, const NeighbourhoodRow& b) {
                         return rounded(a, by) != rounded(b, by) ? rounded(a, by) > rounded(b, by)
                                                                 : a.name < b.name;
                     });
    for (std::size_t i = 0; i < rows.size() && rounded(rows[i], by) >= 0; ++i) {
        const bool tied = i > 0 && rounded(rows[i - 1], by) == rounded(rows[i], by);
        rows[i].rank = tied ? rows[i - 1].rank : static_cast<std::int64_t>(i) + 1;
    }
}

} // namespace

AddedConifers::AddedConifers(const Community& community, const RingPlan& plan)
    : distances_(plan.outer_m.size() + 1),
      kinds_(community.owners ? community.owners->kind_count() : 0),
      stride_(distances_ * (1 + kinds_) * (community.neighbourhoods.empty() ? 1 : 2)),
      m2_(community.structures.size() * stride_)
{}

std::vector<NeighbourhoodRow> neighbourhood_rows(const Community& community,
                                                 const std::vector<StructureResult>& results,
                                                 const AddedConifers& added, const RingPlan& plan,
                                                 std::size_t near_ring, RankBy by)
{
    std::vector<RowMaker> makers;
    const std::size_t outside = community.neighbourhoods.size();
    for (std::size_t n = 0; n < outside; ++n)
        makers.emplace_back(community.neighbourhoods[n], n, plan);
    // Without neighbourhoods nothing is outside; the row is made, and dropped at the end.
    makers.emplace_back(outside_row, std::nullopt, plan);
    RowMaker everything{community_row, std::nullopt, plan};
    for (std::size_t i = 0; i < results.size(); ++i) {
        const AddedConifers::Figures<const double> m2 = added.of(i);
        const ConifersNear near = conifers_near(results[i], plan, near_ring);
        if (outside > 0)
            makers[community.structures[i].neighbourhood.value_or(outside)].add(
                community.structures[i], results[i], m2.to_neighbourhood,
                m2.to_neighbourhood_by_kind, near);
        everything.add(community.structures[i], results[i], m2.to_community,
                       m2.to_community_by_kind, near);
    }
    std::vector<NeighbourhoodRow> rows;
    for (std::size_t n = 0; n < outside; ++n)
        rows.push_back(std::move(makers[n]).row());
    rank_rows(rows, by);
    if (outside > 0)
        rows.push_back(std::move(makers[outside]).row());
    rows.push_back(std::move(everything).row());
    return rows;
}

} // namespace fuelring
