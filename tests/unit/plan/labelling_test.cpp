// SPDX-License-Identifier: Apache-2.0
#include "ground.hpp"
#include "plan/cell_window.hpp"
#include "plan/treatment_plan.hpp"

#include <doctest/doctest.h>

#include <map>
#include <queue>
#include <set>
#include <string_view>

namespace fuelring::plan {

using namespace fuelring::test;

namespace {

std::size_t components(const PlanGrid& grid, double gap_m)
{
    const Labelling labelling{grid, Selection{}, links_of(grid, gap_m), threads(1)};
    std::size_t count = 0;
    for (std::uint32_t part = 0; part < labelling.parts(); ++part)
        count += labelling.is_root(part) ? 1 : 0;
    return count;
}

using Place = std::pair<std::int64_t, std::int64_t>;

/// The plain way: from every cell a search over open ground, by ways in centimetres.
class PlainComponents {
public:
    /// Of conifer cells for which takes(block, k, place) says so.
    template <typename Takes>
    PlainComponents(const PlanGrid& grid, double gap_m, Takes&& takes) : rule_(grid, gap_m)
    {
        for (const Block& block : grid.blocks()) {
            block.each_conifer([&](int row, int col, std::size_t k, ZoneId zone) {
                const Place place{block.rect.row + row, block.rect.col + col};
                conifers_[place] = zone;
                if (takes(block, k, place))
                    component_[place] = place;
            });
            for (int row = 0; row < block.rect.rows; ++row)
                block.zones(row, 0, block_cells, [&](int from, int to, ZoneId zone) {
                    for (int col = from; col < to; ++col)
                        zone_[{block.rect.row + row, block.rect.col + col}] = zone;
                });
        }
        for (const auto& [place, own] : component_)
            search(place);
    }
    Place root(Place place) const
    {
        while (component_.at(place) != place)
            place = component_.at(place);
        return place;
    }
    std::set<Place> cells() const
    {
        std::set<Place> all;
        for (const auto& [place, own] : component_)
            all.insert(place);
        return all;
    }

private:
    bool open(const Place& place, ZoneId zone) const
    {
        const auto at = zone_.find(place);
        return at != zone_.end() && at->second == zone && !conifers_.contains(place);
    }
    void search(const Place& start)
    {
        const ZoneId zone = zone_.at(start);
        std::map<Place, int> way{{start, 0}};
        std::priority_queue<std::pair<int, Place>> queue;
        queue.push({0, start});
        while (!queue.empty()) {
            const auto [negative, from] = queue.top();
            queue.pop();
            for (const Step& s : all_steps) {
                const Place to{from.first + s.row, from.second + s.col};
                const int d = -negative + rule_.step_cm(s);
                const auto target = component_.find(to);
                const bool is_target = target != component_.end() && zone_.at(to) == zone;
                if (d > rule_.limit_cm || (!is_target && !open(to, zone)))
                    continue;
                if (s.row != 0 && s.col != 0 && !open({to.first, from.second}, zone) &&
                    !open({from.first, to.second}, zone))
                    continue;
                if (is_target) {
                    const Place a = root(start);
                    component_[std::max(a, root(to))] = std::min(a, root(to));
                } else if (const auto at = way.find(to); at == way.end() || d < at->second) {
                    way[to] = d;
                    queue.push({-d, to});
                }
            }
        }
    }

    GapRule rule_;
    std::map<Place, ZoneId> conifers_, zone_;
    std::map<Place, Place> component_;
};

} // namespace

TEST_CASE("gaps join over open ground, never over a road, an owner or other conifers")
{
    struct Case {
        std::string_view why;
        std::vector<std::string> picture;
        double gap_m;
        std::size_t components;
    };
    const Case cases[] = {
        {"cells that share an edge", {"##"}, 0, 1},
        {"corners alone are no way", {"#x", "x#"}, 5, 2},
        {"aslant beside one open cell", {"#.", "x#"}, 5, 1},
        {"a gap as wide as allowed", {"#.....#"}, 5, 1},
        {"a gap a metre too wide", {"#......#"}, 5, 2},
        {"a road between", {"#.x.#"}, 5, 2},
        {"around the end of a road", {"#.x.#", "....."}, 5, 1},
        {"another owner's ground between", {"#.o.#"}, 5, 2},
        {"another owner's conifers next door", {"#O"}, 5, 2},
        {"no gap allowed", {"#.#"}, 0, 2},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        CHECK(components(make_ground(c.picture), c.gap_m) == c.components);
        // the same where four blocks meet in the picture
        CHECK(components(make_ground(c.picture, block_cells - 1, block_cells - 3), c.gap_m) ==
              c.components);
    }
}

TEST_CASE("components of every price and ring are those of the plain search, wherever blocks meet")
{
    for (const unsigned seed : {1U, 2U, 3U, 4U}) {
        const PlanGrid grid = make_random_ground(seed, 70, block_cells - 35);
        const Supply supply{grid, 3, threads(1)};
        for (const int ring : {1, 3})
            for (const Key key : supply.keys_at_shares({0.05, 0.2, 0.5, 1})) {
                CAPTURE(seed);
                CAPTURE(ring);
                CAPTURE(key);
                // of the cells of one key, those up to a row
                const Selection selection{{key, key == 1 ? INT64_MAX : block_cells, 3}, ring};
                // links that reach down to the price serve as well as all of them
                const GapLinks links{grid, 3, ring, threads(2), seed % 2 == 0 ? key : 1};
                const Labelling labelling{grid, selection, links, threads(2)};
                const PlainComponents plain{
                    grid, 3, [&](const Block& block, std::size_t k, const Place& place) {
                        return selection.takes(block, k, place.first, place.second);
                    }};
                std::map<std::uint32_t, Place> plain_of;
                std::set<Place> plain_roots;
                for (const Place& place : plain.cells()) {
                    const Block& block = *grid.block_at(place.first, place.second);
                    const std::uint32_t part = labelling.part_at(
                        grid.number_of(block), static_cast<int>(place.first - block.rect.row),
                        static_cast<int>(place.second - block.rect.col));
                    REQUIRE(part != Labelling::none);
                    const Place root = plain.root(place);
                    plain_roots.insert(root);
                    const auto known = plain_of.emplace(labelling.root(part), root).first;
                    CHECK(known->second == root);
                }
                CHECK(plain_of.size() == plain_roots.size());
                std::size_t roots = 0;
                for (std::uint32_t part = 0; part < labelling.parts(); ++part)
                    roots += labelling.is_root(part) ? 1 : 0;
                CHECK(roots == plain_roots.size());
            }
    }
}

TEST_CASE(
    "units are what the plain search joins of the cells that they treat, grown ones among them")
{
    std::size_t units = 0;
    for (const unsigned seed : {1U, 2U, 3U, 4U}) {
        CAPTURE(seed);
        const PlanGrid grid = make_random_ground(seed, 70, block_cells - 35);
        const UnitRules rules{.smallest_m2 = 12, .gap_m = 3, .largest_m2 = 1e6};
        const Supply supply{grid, 3, threads(1)};
        const GapLinks links = links_of(grid, rules.gap_m);
        for (const Key key : supply.keys_at_shares({0.02, 0.1, 0.3, 0.6})) {
            CAPTURE(key);
            const PricePlan plan = plan_at_price(grid, {.price = {key}}, rules, links, threads(2));
            std::map<Place, std::size_t> unit_of;
            for (std::size_t u = 0; u < plan.units.size(); ++u)
                for (const CellRun& run : plan.units[u].treated)
                    for (std::int64_t col = run.col; col < run.end(); ++col)
                        unit_of[{run.row, col}] = u;
            const PlainComponents plain{grid, rules.gap_m,
                                        [&](const Block&, std::size_t, const Place& place) {
                                            return unit_of.contains(place);
                                        }};
            std::map<Place, std::size_t> unit_of_root;
            for (const Place& place : plain.cells()) {
                const auto known = unit_of_root.emplace(plain.root(place), unit_of.at(place)).first;
                CHECK(known->second == unit_of.at(place));
            }
            CHECK(unit_of_root.size() == plan.units.size());
            units += plan.units.size();
        }
    }
    CHECK(units > 60);
}

} // namespace fuelring::plan
