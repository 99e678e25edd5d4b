// SPDX-License-Identifier: Apache-2.0

// Structures far from the rest: a coordinate of 0, or one in another place. The map is divided in
// squares; those that touch are one place, and the place with most structures is the community.
#include "io/community/community_findings.hpp"
#include "io/community/community_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace fuelring {

namespace {

constexpr double square_m = 5000;         ///< so that ground between two places is wider than this
constexpr std::size_t small_part_of = 10; ///< a stray place has less than a tenth of the community

using Square = std::pair<std::int64_t, std::int64_t>; ///< column, row
using Members = std::vector<std::size_t>;             ///< numbers of structures

double scale_at(const Structure& structure)
{
    return std::max(structure.map_scale.x, structure.map_scale.y);
}

std::map<Square, Members> members_of_squares(const std::vector<Structure>& structures)
{
    const double side = square_m * scale_at(structures.front());
    std::map<Square, Members> squares;
    for (std::size_t k = 0; k < structures.size(); ++k) {
        const Point p = structures[k].inside;
        squares[{std::llround(std::floor(p.x / side)), std::llround(std::floor(p.y / side))}]
            .push_back(k);
    }
    return squares;
}

/// Takes a square with all that it touches, directly or by others, out of `squares`.
Members take_place(std::map<Square, Members>& squares)
{
    Members members;
    std::vector<Square> open{squares.begin()->first};
    while (!open.empty()) {
        const Square at = open.back();
        open.pop_back();
        const auto found = squares.find(at);
        if (found == squares.end())
            continue;
        members.insert(members.end(), found->second.begin(), found->second.end());
        squares.erase(found);
        // All eight neighbours, and the square itself, which is gone by then.
        for (const std::int64_t col : {-1, 0, 1})
            for (const std::int64_t row : {-1, 0, 1})
                open.emplace_back(at.first + col, at.second + row);
    }
    return members;
}

/// "A-5 (x 0, y 0; 5630 km off)"
std::string stray_in_words(const Structure& stray, const std::vector<Structure>& structures,
                           const Members& town)
{
    double least_m = HUGE_VAL;
    for (const std::size_t k : town) {
        const Point gap = structures[k].inside - stray.inside;
        least_m = std::min(least_m, std::hypot(gap.x, gap.y) / scale_at(structures[k]));
    }
    return fmt::format("{} (x {:.0f}, y {:.0f}; {:.0f} km off)", stray.id, stray.inside.x,
                       stray.inside.y, least_m / 1000);
}

} // namespace

void warn_of_strays(const std::vector<Structure>& structures, Warnings& warnings)
{
    if (structures.empty())
        return;
    std::map<Square, Members> squares = members_of_squares(structures);
    std::vector<Members> places;
    while (!squares.empty())
        places.push_back(take_place(squares));
    const auto town =
        std::max_element(places.begin(), places.end(),
                         [](const Members& a, const Members& b) { return a.size() < b.size(); });
    Members strays;
    for (const Members& place : places)
        if (&place != &*town && place.size() < town->size() &&
            (place.size() == 1 || place.size() * small_part_of < town->size()))
            strays.insert(strays.end(), place.begin(), place.end());
    std::sort(strays.begin(), strays.end());
    Finding finding;
    for (const std::size_t k : strays) {
        const bool told = finding.examples().size() < first_few;
        finding.add(told ? stray_in_words(structures[k], structures, *town) : std::string{});
    }
    finding.report(warnings, "structures_far_off",
                   "structures are far from all others: a wrong coordinate, or another place");
}

} // namespace fuelring
