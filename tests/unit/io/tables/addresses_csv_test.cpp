// SPDX-License-Identifier: Apache-2.0
#include "unit/io/file_size_limit.hpp"
#include "unit/io/scratch_folder.hpp"
#include "unit/io/tables/hamlet.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>

using namespace fuelring;

TEST_CASE("addresses.csv is, byte for byte, what its contract says")
{
    const ScratchFolder folder;
    const Hamlet hamlet;
    const std::int64_t neutralised =
        write_addresses_csv(folder / "addresses.csv", hamlet.tables(), true);
    // Fractions by hand: 7/28, 14/28, 100/400, 107/428; 127/127, 0/1000, 127/1127.
    const std::string expected =
        "\xef\xbb\xbf"
        "rank,rank_in_neighbourhood,address,structure_id,neighbourhood,x,y,lon,lat,"
        "footprint_m2,roof_canopy_m2,nearest_conifer_m,exposure,"
        "ring_m2_0_1.5m,conifer_m2_0_1.5m,conifer_frac_0_1.5m,other_burnable_frac_0_1.5m,"
        "unmapped_frac_0_1.5m,"
        "ring_m2_1.5_10m,conifer_m2_1.5_10m,conifer_frac_1.5_10m,other_burnable_frac_1.5_10m,"
        "unmapped_frac_1.5_10m,"
        "conifer_frac_within_1.5m,conifer_frac_within_10m,flags\r\n"
        "1,1,Farm,F,\"North, upper\",500101.000,5249901.000,9.00140000,47.40000000,"
        "332.000,1.500,0.123,50.0000,"
        "127.000,127.000,1.000000,0.000000,0.000000,"
        "1000.000,0.000,0.000000,0.000000,0.000000,"
        "1.000000,0.112689,canopy_on_roof\r\n"
        "2,1,'=1+1,'-7,,500012.000,5249991.500,-123.50000000,47.12345679,"
        "12.000,0.000,0.000,25.0000,"
        "28.000,7.000,0.250000,0.500000,0.000000,"
        "500.000,100.000,0.250000,0.000000,0.200000,"
        "0.250000,0.250000,partly_unmapped\r\n"
        "2,1,1 Larch Way,'-7,,500012.000,5249991.500,-123.50000000,47.12345679,"
        "12.000,0.000,0.000,25.0000,"
        "28.000,7.000,0.250000,0.500000,0.000000,"
        "500.000,100.000,0.250000,0.000000,0.200000,"
        "0.250000,0.250000,partly_unmapped\r\n"
        ",,,lost,,500501.000,5249501.000,0.00000000,0.00000000,"
        "4.000,,,,"
        "19.000,,,,1.000000,"
        "400.000,,,,1.000000,"
        ",,unmapped\r\n";
    CHECK(bytes_of(folder / "addresses.csv") == expected);
    CHECK(neutralised == 3);
}

TEST_CASE("without output.csv_bom the text begins with the header")
{
    const ScratchFolder folder;
    write_addresses_csv(folder / "addresses.csv", Hamlet{}.tables(), false);
    CHECK(bytes_of(folder / "addresses.csv").substr(0, 5) == "rank,");
}

TEST_CASE("ring labels are made from the distances as they are written")
{
    const RingPlan plan{{1.5, 10, 30.25, 100}, {1, 1, 1, 1}};
    CHECK(ring_label(plan, 0) == "0_1.5m");
    CHECK(ring_label(plan, 1) == "1.5_10m");
    CHECK(ring_label(plan, 2) == "10_30.25m");
    CHECK(within_label(plan, 3) == "100m");
}

TEST_CASE("a table that does not fit on the disk is an output error and is not there")
{
    const ScratchFolder folder;
    const Hamlet hamlet;
    const FileSizeLimit full{500};
    CHECK_THROWS_AS(write_addresses_csv(folder / "addresses.csv", hamlet.tables(), true), Error);
    CHECK(folder.empty());
}
