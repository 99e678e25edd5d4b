// SPDX-License-Identifier: Apache-2.0
#include "run/schedule/shard_plan.hpp"
#include "support/fuel_fixtures.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <random>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// Houses of 10 m x 10 m at random, four fifths of them in the first eighth of the ground.
Community crowded(std::size_t count, std::int64_t side)
{
    std::mt19937_64 rng{4711};
    std::uniform_int_distribution<std::int64_t> anywhere{0, side - 1}, crowd{0, side / 8};
    Community community;
    for (std::size_t i = 0; i < count; ++i) {
        Structure s;
        s.footprint = rectangle(10, 10);
        s.frame = i % 5 == 0 ? CellFrame{anywhere(rng), anywhere(rng)}
                             : CellFrame{crowd(rng), anywhere(rng)};
        community.structures.push_back(s);
    }
    return community;
}

/// The default's rings on level ground, without draws.
ShardPlan plan_of(const Community& community, const Grid& grid, int shards)
{
    const RingPlan rings{{1.5, 10, 30, 100}, {0.35, 0.35, 0.2, 0.1}};
    return {community, grid, rings, rings.widest_m(), 0, shards};
}

} // namespace

TEST_CASE("Hilbert's curve goes through every cell once, from neighbour to neighbour")
{
    constexpr int bits = 4;
    constexpr std::uint32_t side = 1U << bits;
    std::vector<std::pair<int, int>> place(side * side, {-1, -1});
    for (std::uint32_t x = 0; x < side; ++x)
        for (std::uint32_t y = 0; y < side; ++y) {
            const std::uint64_t key = hilbert_key(x, y, bits);
            REQUIRE(key < place.size());
            CHECK(place[key].first == -1);
            place[key] = {static_cast<int>(x), static_cast<int>(y)};
            CHECK(hilbert_key(x >> 2, y >> 2, bits - 2) == key >> 4);
        }
    for (std::size_t k = 1; k < place.size(); ++k)
        CHECK(std::abs(place[k].first - place[k - 1].first) +
                  std::abs(place[k].second - place[k - 1].second) ==
              1);
}

TEST_CASE(
    "every structure and every block of the surface is one shard's, and shares are what it needs")
{
    const std::int64_t side = 4096;
    const Community community = crowded(2000, side);
    const Grid grid = square_grid(1, side, side);
    for (const int shards : {1, 7, 16, 5000}) {
        CAPTURE(shards);
        const ShardPlan plan = plan_of(community, grid, shards);
        std::vector<int> structures(community.structures.size());
        std::vector<int> blocks(plan.blocks().tiles().size());
        std::size_t most = 0;
        for (int k = 0; k < shards; ++k) {
            for (const std::uint32_t i : plan.structures_of(k))
                ++structures[i];
            for (const std::uint32_t t : plan.blocks_of(k))
                ++blocks[t];
            most = std::max(most, plan.structures_of(k).size());
        }
        CHECK(std::all_of(structures.begin(), structures.end(), [](int n) { return n == 1; }));
        CHECK(std::all_of(blocks.begin(), blocks.end(), [](int n) { return n == 1; }));
        if (shards == 16) // a crowd takes longer: fewer structures where they stand close
            CHECK(most > 2000 / 16);
    }
    const ShardPlan plan = plan_of(community, grid, 7);
    const Share share = plan.share(3);
    for (const std::uint32_t t : plan.blocks_of(3)) {
        CHECK(share.blocks[t]);
        for (const std::uint32_t i : plan.blocks().structures(plan.blocks().tiles()[t]))
            CHECK(share.measured[i]);
    }
    const auto measured = std::count(share.measured.begin(), share.measured.end(), true);
    CHECK(std::count(share.own.begin(), share.own.end(), true) ==
          static_cast<std::ptrdiff_t>(plan.structures_of(3).size()));
    CHECK(measured < 2000 / 2); // not everybody's
}
