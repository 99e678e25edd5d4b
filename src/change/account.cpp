// SPDX-License-Identifier: Apache-2.0

// The account: what outlines add to the union of those before them, summed by scope and distance;
// and the change of exposures through the same operator that made them.

#include "change/account.hpp"

#include "exposure/neighbourhoods.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

namespace fuelring {

namespace {

/// Scaled weights this close are the same.
constexpr double same_weight = 1e-12;

std::vector<double> scaled_to_one(const std::vector<double>& weight)
{
    const double sum = std::accumulate(weight.begin(), weight.end(), 0.0);
    std::vector<double> result;
    for (const double w : weight)
        result.push_back(w / sum);
    return result;
}

bool same_plan(const RingPlan& a, const RingPlan& b)
{
    if (a.outer_m != b.outer_m)
        return false;
    const std::vector<double> of_a = scaled_to_one(a.weight);
    const std::vector<double> of_b = scaled_to_one(b.weight);
    return std::equal(of_a.begin(), of_a.end(), of_b.begin(),
                      [](double v, double w) { return std::abs(v - w) <= same_weight; });
}

/// Gathers the outlines of one scope, in their order.
struct ScopeSum {
    explicit ScopeSum(std::size_t distances) : within(distances + 1) {}

    /// Every `stride`-th area from `first` on belongs to the scope.
    void add(const ChangeMember& member, const std::vector<ChangeArea>& added,
             std::size_t first = 0, std::size_t stride = 1)
    {
        structures += member.counted ? 1 : 0;
        for (std::size_t k = 0; k < within.size(); ++k)
            within[k] += added[k * stride + first];
    }

    void append_rows(ChangeScope scope, const std::string& name, std::vector<ChangeRow>& rows,
                     const std::string& owner = {}) const
    {
        fuelring::append_rows({scope, name, 0, false, structures, {}, {}, owner, {}}, within, rows);
    }

    std::vector<ChangeArea> within;
    std::int64_t structures = 0;
};

} // namespace

std::optional<CommonRings> common_rings(const RingPlan& before, const RingPlan& after)
{
    CommonRings common;
    common.same = same_plan(before, after);
    common.plan = {{}, {}};
    for (std::size_t k = 0; k < after.outer_m.size(); ++k) {
        const double d = after.outer_m[k];
        if (std::find(before.outer_m.begin(), before.outer_m.end(), d) == before.outer_m.end())
            continue;
        common.plan.outer_m.push_back(d);
        common.plan.weight.push_back(common.same ? after.weight[k] : 1);
        common.stretch.push_back(k > 0);
    }
    return common.plan.outer_m.empty() ? std::nullopt : std::optional{std::move(common)};
}

const char* name_of(Direction direction)
{
    return std::array{"fell", "rose", "stayed", "unknown"}.at(static_cast<std::size_t>(direction));
}

Direction direction_of(std::optional<double> before, std::optional<double> after)
{
    if (!before || !after)
        return Direction::unknown;
    const double was = std::round(*before * 1e4);
    const double is = std::round(*after * 1e4);
    return is < was ? Direction::fell : is > was ? Direction::rose : Direction::stayed;
}

std::optional<std::vector<double>> points_through_fuel(std::span<const ChangeArea> within,
                                                       const RingPlan& plan)
{
    StructureMeasure both;
    for (std::size_t k = 1; k < within.size(); ++k) {
        const ChangeArea ring = within[k] - within[k - 1];
        both.rings.push_back({ring.ground_m2(), ring.compared_m2, ring.conifer_after_m2(), 0,
                              ring.ground_m2() - ring.compared_m2});
    }
    if (!exposure(both, plan))
        return std::nullopt;
    return points_per_m2(both, plan);
}

std::optional<double> exposure_through_fuel(std::span<const ChangeArea> within,
                                            const RingPlan& plan)
{
    const auto points = points_through_fuel(within, plan);
    if (!points)
        return std::nullopt;
    double change = 0;
    for (std::size_t k = 1; k < within.size(); ++k)
        change += (*points)[k - 1] * (within[k] - within[k - 1]).net_m2();
    return change;
}

const char* name_of(ChangeScope scope)
{
    return std::array{"community", "neighbourhood", "owner", "neighbourhood_owner", "treatment"}.at(
        static_cast<std::size_t>(scope));
}

namespace {

/// Sums of one scope: all ground, and by whose it is.
struct ScopeSums {
    ScopeSums(std::size_t distances, std::size_t kinds)
        : all{distances}, by_kind(kinds, ScopeSum{distances})
    {}

    void add(const ChangeMember& member, const std::vector<ChangeArea>& added,
             const std::vector<ChangeArea>& added_by_kind)
    {
        all.add(member, added);
        for (std::size_t kind = 0; kind < by_kind.size(); ++kind)
            by_kind[kind].add(member, added_by_kind, kind, by_kind.size());
    }

    ScopeSum all;
    std::vector<ScopeSum> by_kind;
};

using SumsByName = std::vector<std::pair<std::string, const ScopeSums*>>;

/// The rows of neighbourhoods, by name; what lies outside comes last.
SumsByName in_order(const std::map<std::string, ScopeSums>& neighbourhoods)
{
    SumsByName sums;
    for (const auto& [name, of_name] : neighbourhoods)
        if (!name.empty())
            sums.emplace_back(name, &of_name);
    const auto outside = neighbourhoods.find("");
    if (outside != neighbourhoods.end() && !sums.empty())
        sums.emplace_back(outside_row, &outside->second);
    return sums;
}

} // namespace

void append_rows(const ChangeRow& of, std::span<const ChangeArea> within,
                 std::vector<ChangeRow>& rows)
{
    for (const bool whole : {false, true})
        for (std::size_t k = 1; k < within.size(); ++k) {
            ChangeRow& row = rows.emplace_back(of);
            row.distance = k - 1;
            row.within = whole;
            row.area = within[k] - within[whole ? 0 : k - 1];
        }
}

std::vector<ChangeRow> change_rows(std::span<const ChangeMember> members,
                                   std::span<const OutlineChange> changes, std::size_t distances,
                                   const std::vector<std::string>& kinds)
{
    ScopeSums community{distances, kinds.size()};
    std::map<std::string, ScopeSums> by_name;
    for (std::size_t i = 0; i < members.size(); ++i) {
        community.add(members[i], changes[i].to_community, changes[i].to_community_by_kind);
        by_name.try_emplace(members[i].neighbourhood, distances, kinds.size())
            .first->second.add(members[i], changes[i].to_neighbourhood,
                               changes[i].to_neighbourhood_by_kind);
    }
    const SumsByName neighbourhoods = in_order(by_name);
    std::vector<ChangeRow> rows;
    community.all.append_rows(ChangeScope::community, community_row, rows);
    for (const auto& [name, sums] : neighbourhoods)
        sums->all.append_rows(ChangeScope::neighbourhood, name, rows);
    for (std::size_t kind = 0; kind < kinds.size(); ++kind)
        community.by_kind[kind].append_rows(ChangeScope::owner, kinds[kind], rows, kinds[kind]);
    for (const auto& [name, sums] : neighbourhoods)
        for (std::size_t kind = 0; kind < kinds.size(); ++kind)
            sums->by_kind[kind].append_rows(ChangeScope::neighbourhood_owner, name, rows,
                                            kinds[kind]);
    return rows;
}

ConfusionMatrix matrix_of_change(const ConfusionMatrix& matrix, const std::string& matrix_file)
{
    std::vector<std::size_t> place;
    for (const char* name : drawn_class_names) {
        const auto at = std::find(matrix.classes.begin(), matrix.classes.end(), name);
        if (at == matrix.classes.end() || matrix.size() != drawn_classes)
            throw Error{
                Failure::input,
                fmt::format("the classes are {}; a matrix of change has {}",
                            fmt::join(matrix.classes, ", "), fmt::join(drawn_class_names, ", ")),
                matrix_file, "draw reference points in the classes of change.tif and name them so"};
        place.push_back(static_cast<std::size_t>(at - matrix.classes.begin()));
    }
    ConfusionMatrix ordered;
    ordered.classes.assign(drawn_class_names.begin(), drawn_class_names.end());
    for (const std::size_t map : place)
        for (const std::size_t reference : place)
            ordered.counts.push_back(matrix.at(map, reference));
    return ordered;
}

const ChangeRow& widest_row(const std::vector<ChangeRow>& rows)
{
    const ChangeRow* widest = &rows.front();
    for (const ChangeRow& row : rows)
        if (row.scope == ChangeScope::community && row.within)
            widest = &row; // the last is the widest
    return *widest;
}

void adjust_widest(std::vector<ChangeRow>& rows, const ConfusionMatrix& matrix)
{
    ChangeRow& row = rows[static_cast<std::size_t>(&widest_row(rows) - rows.data())];
    row.reference_points =
        std::accumulate(matrix.counts.begin(), matrix.counts.end(), std::int64_t{0});
    const Accuracy accuracy = assess(matrix, row.area.class_m2);
    row.adjusted =
        AdjustedAreas{accuracy.classes[0].area, accuracy.classes[1].area, accuracy.classes[2].area};
}

void adjust_row(ChangeRow& row, const ReferenceSample& sample, const std::vector<bool>& inside)
{
    row.reference_points = std::count(inside.begin(), inside.end(), true);
    if (*row.reference_points < least_points_inside || !(row.area.compared_m2 > 0))
        return;
    const auto area = [&](std::size_t k, double mapped_m2) {
        return corrected_area(sample, inside, k, mapped_m2);
    };
    row.adjusted = AdjustedAreas{area(0, row.area.removed_m2), area(1, row.area.regrown_m2),
                                 area(2, row.area.unchanged_m2)};
}

} // namespace fuelring
