// SPDX-License-Identifier: Apache-2.0

// How long addresses.csv and fuelring.gpkg take for 4,000 and 200,000 structures.
//     bench_tables [FOLDER]
#include "bench/stopwatch.hpp"
#include "io/gdal/setup.hpp"
#include "io/tables/tables_out.hpp"

#include <fmt/format.h>

#include <cstdlib>
#include <filesystem>
#include <random>

using namespace fuelring;

namespace {

/// Houses of 8 x 12 m with a lean-to, on a lattice 40 m apart; every ring with some conifer.
Community lattice(std::size_t houses)
{
    Community community;
    community.neighbourhoods = {"North", "South"};
    for (std::size_t k = 0; k < houses; ++k) {
        Structure s;
        s.id = fmt::format("B{:07}", k);
        s.frame = {static_cast<std::int64_t>(k % 500 * 40 + 200),
                   static_cast<std::int64_t>(k / 500 * 40 + 200)};
        s.footprint = {
            {{{0.3, 0.2}, {12.1, 0.7}, {11.8, 8.4}, {15.2, 8.6}, {15, 12.5}, {0, 11.9}}}};
        s.footprint_m2 = area_m2(s.footprint);
        s.inside = {500'000.0 + static_cast<double>(s.frame.col) + 4,
                    5'250'000.0 - static_cast<double>(s.frame.row) + 4};
        s.lon_deg = 9 + static_cast<double>(k % 500) * 5.3e-4;
        s.lat_deg = 47 - static_cast<double>(k / 500) * 3.6e-4;
        s.neighbourhood = k % 2;
        community.addresses.push_back({fmt::format("{} Larch Way", k), s.inside, k});
        community.structures.push_back(std::move(s));
    }
    return community;
}

std::vector<StructureResult> made_up_results(std::vector<MeasuredStructure>& measures)
{
    std::mt19937 random{7};
    std::uniform_real_distribution<double> part{0, 1};
    std::vector<StructureResult> results(measures.size());
    for (std::size_t k = 0; k < measures.size(); ++k) {
        MeasuredStructure& m = measures[k];
        StructureResult& r = results[k];
        r.measure = &m;
        m.roof = {130.9, 130.9, 3.1 * part(random), 0, 0};
        for (const double ring_m2 : {67.1, 647.1, 3313.3, 31388.5}) {
            const double conifer = ring_m2 * part(random);
            m.rings.push_back({ring_m2, ring_m2, conifer, 0.5 * (ring_m2 - conifer), 0});
        }
        m.nearest_conifer_m = 30 * part(random);
        r.exposure = 100 * part(random);
        r.rank = static_cast<std::int64_t>(k + 1);
        r.rank_in_neighbourhood = static_cast<std::int64_t>(k / 2 + 1);
    }
    return results;
}

void time_tables(const std::filesystem::path& folder, std::size_t houses)
{
    const Community community = lattice(houses);
    std::vector<MeasuredStructure> measures(houses);
    const std::vector<StructureResult> results = made_up_results(measures);
    std::vector<AddressRow> rows;
    for (std::size_t k = 0; k < houses; ++k)
        rows.push_back({k, k});
    const RingPlan plan;
    const Grid grid{{500'000, 1, 0, 5'250'000, 0, -1}, 30'000, 30'000};
    const Crs crs = Crs::from_user_input("EPSG:32632", "bench");
    const RunTables tables{community, results, rows, plan, grid, crs};
    std::filesystem::remove(folder / "addresses.csv");
    std::filesystem::remove(folder / "fuelring.gpkg");
    const Stopwatch csv;
    write_addresses_csv(folder / "addresses.csv", tables, true);
    const std::string csv_time = csv.lap();
    const Stopwatch geopackage;
    write_geopackage(folder / "fuelring.gpkg", tables);
    fmt::print("{:7} structures: addresses.csv {}, fuelring.gpkg {}\n", houses, csv_time,
               geopackage.lap());
}

} // namespace

int main(int argc, char** argv)
{
    set_up_gdal();
    const std::filesystem::path folder = argc > 1 ? argv[1] : "tables_bench.tmp";
    std::filesystem::create_directories(folder);
    for (const std::size_t houses : {4'000U, 4'000U, 200'000U})
        time_tables(folder, houses);
    return EXIT_SUCCESS;
}
