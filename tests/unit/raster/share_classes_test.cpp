// SPDX-License-Identifier: Apache-2.0
#include "raster/share_classes.hpp"

#include <fuelring/fuel_window.hpp>

#include <doctest/doctest.h>

using namespace fuelring;

TEST_CASE("every ten-thousandth has a class of its own, whose cell counts for it and nothing else")
{
    const FuelClassTable table = share_classes();
    REQUIRE(table.rows().size() == 10'002);
    const std::vector<FuelSum> sums = contributions(table);
    for (const std::int32_t share : {0, 1, 4'999, 5'000, 10'000}) {
        CAPTURE(share);
        const ClassIndex index = class_of_share(share);
        CHECK(table[index].code == share);
        CHECK(table[index].group == FuelGroup::share);
        CHECK(sums[index].conifer == share);
        CHECK(sums[index].mapped == 1);
        CHECK(sums[index].other_burnable == 0); // it is not known
    }
    CHECK(sums[no_data_class].unmapped == 1);
}

TEST_CASE("no table of classes may name the group of shares")
{
    CHECK(name_of(FuelGroup::share) == "share");
    CHECK_FALSE(fuel_group("share").has_value());
    CHECK_FALSE(is_vegetation(FuelGroup::share));
}

TEST_CASE("shares are told in tenths, and none apart")
{
    CHECK(share_band(0) == 0);
    CHECK(share_band(1) == 1);
    CHECK(share_band(1'000) == 1);
    CHECK(share_band(1'001) == 2);
    CHECK(share_band(10'000) == share_bands - 1);
    CHECK(share_band_label(0) == "no conifers");
    CHECK(share_band_label(10) == "90 to 100% conifers");
    ShareBands bands;
    bands.add(1'500, 3);
    bands.add(1'900, 1);
    CHECK(bands.cells[2] == 4);
    CHECK(bands.mean(2) == doctest::Approx(0.16)); // (3 x 0.15 + 0.19) / 4
}
