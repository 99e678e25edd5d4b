// SPDX-License-Identifier: Apache-2.0

// Well-known binary of anybody's, in a batch: every footprint has a status, and figures where that
// says so. Cells of 1,000 km keep the windows of whatever is far apart small.
#include "fuzz/entries.hpp"
#include "fuzz/seeds.hpp"

#include <fuelring/batch.hpp>

#include <cmath>
#include <cstring>
#include <stdexcept>

namespace fuelring::test {

void read_batch(std::string_view bytes)
{
    const auto all = std::as_bytes(std::span{bytes});
    const std::vector<std::span<const std::byte>> features{all, all.first(all.size() / 2), {}};
    const std::vector<std::uint8_t> cells(100 * 100, 1);
    const RasterView raster{
        cells.data(), CellType::uint8, 100, 1, Grid{{0, 1e6, 0, 0, 0, -1e6}, 100, 100}, {}};
    const FuelClassTable classes{
        std::vector<FuelClass>{{1, "conifers", FuelGroup::conifer, whole_share, ""}}};
    std::vector<FeatureStatus> status(features.size());
    std::vector<double> ring_m2(features.size());
    measure_all(WkbView{features}, raster, classes, {{1.5}, {1}},
                {.status = status, .ring_m2 = ring_m2});
    for (std::size_t k = 0; k < features.size(); ++k) {
        (void)name_of(status[k]);
        if ((status[k] <= FeatureStatus::repaired) != std::isfinite(ring_m2[k]))
            throw std::runtime_error{"figures are not where the status says"};
    }
    if (status.back() != FeatureStatus::empty)
        throw std::runtime_error{"what is null is not empty"};
}

std::vector<std::string> batch_seeds()
{
    const auto number = [](std::string& to, auto value) {
        char raw[sizeof value];
        std::memcpy(raw, &value, sizeof value);
        to.append(raw, sizeof value);
    };
    const auto polygon = [&](std::uint32_t type, int dimensions) {
        std::string wkb{"\1"};
        number(wkb, type);
        number(wkb, std::uint32_t{1});
        number(wkb, std::uint32_t{4});
        for (const double at : {0.0, 9.0, 0.0, 9.0, 9.0, 0.0, 0.0, 0.0}) {
            number(wkb, at);
            for (int k = 2; k < dimensions && at == 9.0; ++k)
                number(wkb, 1.0);
        }
        return wkb;
    };
    std::string several{"\1"};
    number(several, std::uint32_t{6});
    number(several, std::uint32_t{2});
    several += polygon(3, 2) + polygon(3, 2);
    return {polygon(3, 2), polygon(1003, 3), several};
}

} // namespace fuelring::test
