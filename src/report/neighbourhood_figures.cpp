// SPDX-License-Identifier: Apache-2.0

// Figures of neighbourhoods as the page and the maps show them. For the public, those in which a
// figure would be of few homes are taken together in one row. What would let a reader work them out
// again is changed or left out: ranks are counted anew, and hectares are not added.
#include "report/neighbourhood_figures.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>

namespace fuelring {

namespace {

std::optional<double> known(double value)
{
    return std::isnan(value) ? std::nullopt : std::optional{value};
}

std::int64_t count(double value)
{
    return std::isnan(value) ? 0 : std::llround(value);
}

/// Name of the row that a structure counts in.
std::string_view row_name(const std::string& neighbourhood)
{
    return neighbourhood.empty() ? outside_row : std::string_view{neighbourhood};
}

using Classes = std::array<std::int64_t, exposure_classes.size()>;

/// By row of the neighbourhood table; the community's row counts all.
std::vector<Classes> class_counts(const RunPicture& picture)
{
    std::vector<Classes> counts(picture.neighbourhoods.table.rows, Classes{});
    const auto all = neighbourhood_row(picture, community_row);
    const PictureTable& structures = picture.structures.table;
    for (std::size_t i = 0; i < structures.rows; ++i) {
        const double exposure = structures.number("exposure", i);
        if (std::isnan(exposure))
            continue;
        const auto own = neighbourhood_row(picture, row_name(structures.text("neighbourhood", i)));
        for (const auto& row : {own, all})
            if (row)
                ++counts[*row][exposure_class(exposure)];
    }
    return counts;
}

NeighbourhoodFigures merged(const std::vector<NeighbourhoodFigures>& rows)
{
    NeighbourhoodFigures all;
    all.kind = NeighbourhoodFigures::Kind::merged;
    all.name = "(all others)";
    double points = 0;
    for (const NeighbourhoodFigures& row : rows) {
        all.members.insert(all.members.end(), row.members.begin(), row.members.end());
        all.structures += row.structures;
        all.measured += row.measured;
        all.known_near += row.known_near;
        all.near += row.near;
        points += row.mean_exposure.value_or(0) * static_cast<double>(row.measured);
    }
    if (all.measured > 0)
        all.mean_exposure = points / static_cast<double>(all.measured);
    return all; // hectares are not added: reaches of neighbourhoods overlap
}

/// Counts ranks among the rows that are shown: a gap would give away the rank of a neighbourhood
/// that is not shown. Equal ranks stay equal.
void number_again(std::vector<NeighbourhoodFigures>& shown)
{
    std::vector<std::int64_t> ranks;
    for (const NeighbourhoodFigures& row : shown)
        if (row.rank)
            ranks.push_back(*row.rank);
    std::sort(ranks.begin(), ranks.end());
    for (NeighbourhoodFigures& row : shown)
        if (row.rank)
            row.rank =
                1 + (std::lower_bound(ranks.begin(), ranks.end(), *row.rank) - ranks.begin());
}

/// A figure of so few homes would show them; a figure of none shows nothing.
bool shows_homes(std::int64_t homes, std::int64_t fewest)
{
    return homes > 0 && homes < fewest;
}

bool is_small(const NeighbourhoodFigures& row, std::int64_t fewest)
{
    return row.structures < fewest || shows_homes(row.measured, fewest) ||
           shows_homes(row.known_near, fewest);
}

} // namespace

std::vector<NeighbourhoodFigures> neighbourhood_figures(const RunPicture& picture)
{
    using Kind = NeighbourhoodFigures::Kind;
    const PictureTable& table = picture.neighbourhoods.table;
    const std::vector<Classes> classes = class_counts(picture);
    const std::string near = fmt::format("structures_conifer_within_{}m", picture.near_m);
    const std::string known_near = fmt::format("structures_known_within_{}m", picture.near_m);
    std::vector<NeighbourhoodFigures> rows;
    for (std::size_t i = 0; i < table.rows; ++i) {
        NeighbourhoodFigures row;
        row.name = table.text("neighbourhood", i);
        row.kind = row.name == community_row ? Kind::community
                   : row.name == outside_row ? Kind::outside
                                             : Kind::neighbourhood;
        row.members = {i};
        if (const auto rank = known(table.number("rank", i)))
            row.rank = std::llround(*rank);
        row.structures = count(table.number("structures", i));
        row.measured = count(table.at("structures_measured").numbers[i]);
        row.known_near = count(table.at(known_near).numbers[i]);
        row.near = count(table.number(near, i));
        row.mean_exposure = known(table.number("mean_exposure", i));
        row.p90_exposure = known(table.number("p90_exposure", i));
        for (const double outer : picture.rings.outer_m)
            row.conifer_ha_within.push_back(
                known(table.number(fmt::format("conifer_ha_within_{}m", outer), i)));
        row.by_class = classes[i];
        rows.push_back(std::move(row));
    }
    return rows;
}

std::vector<NeighbourhoodFigures> public_figures(const RunPicture& picture, std::int64_t fewest)
{
    using Kind = NeighbourhoodFigures::Kind;
    std::vector<NeighbourhoodFigures> shown;
    std::vector<NeighbourhoodFigures> small;
    std::vector<NeighbourhoodFigures> community;
    for (NeighbourhoodFigures& row : neighbourhood_figures(picture)) {
        if (row.kind == Kind::community)
            community.push_back(std::move(row));
        else if (row.structures > 0)
            (is_small(row, fewest) || row.kind == Kind::outside ? small : shown)
                .push_back(std::move(row));
    }
    if (community.empty() || community.front().known_near < fewest)
        throw Error{Failure::input,
                    fmt::format("fewer than {} structures have an exposure: a public page would "
                                "show single homes",
                                fewest),
                    {},
                    "leave --public out, and share the page with nobody else"};
    while (!small.empty() && is_small(merged(small), fewest) && !shown.empty()) {
        const bool few_measured = shows_homes(merged(small).measured, fewest) ||
                                  shows_homes(merged(small).known_near, fewest);
        const auto place = [few_measured](const NeighbourhoodFigures& row) {
            return std::tuple{few_measured && row.measured == 0, row.measured, row.structures};
        };
        const auto next =
            std::min_element(shown.begin(), shown.end(), [&place](const auto& a, const auto& b) {
                return place(a) < place(b);
            });
        small.push_back(std::move(*next));
        shown.erase(next);
    }
    number_again(shown);
    if (!small.empty())
        shown.push_back(merged(small));
    shown.push_back(std::move(community.front()));
    for (NeighbourhoodFigures& row : shown) {
        row.p90_exposure.reset();
        row.by_class.reset();
    }
    return shown;
}

} // namespace fuelring
