// SPDX-License-Identifier: Apache-2.0
#include "unit/library/refused.hpp"

#include <fuelring/batch.hpp>

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <cstring>
#include <vector>

using namespace fuelring;
using namespace fuelring::test;

namespace {

/// Bytes of well-known binary, put together by hand.
class Wkb {
public:
    explicit Wkb(bool big_endian = false) : big_endian_(big_endian) {}

    Wkb& head(std::uint32_t type)
    {
        bytes_.push_back(std::byte{static_cast<unsigned char>(big_endian_ ? 0 : 1)});
        return number(type);
    }
    template <typename Number>
    Wkb& number(Number value)
    {
        std::array<std::byte, sizeof(Number)> raw;
        std::memcpy(raw.data(), &value, sizeof(Number));
        if (big_endian_)
            bytes_.insert(bytes_.end(), raw.rbegin(), raw.rend());
        else
            bytes_.insert(bytes_.end(), raw.begin(), raw.end());
        return *this;
    }
    /// A ring with `more` further numbers at each vertex.
    Wkb& ring(const std::vector<Point>& points, int more = 0)
    {
        number(static_cast<std::uint32_t>(points.size()));
        for (const Point p : points) {
            number(p.x).number(p.y);
            for (int k = 0; k < more; ++k)
                number(1e300);
        }
        return *this;
    }
    Wkb& cut(std::size_t bytes)
    {
        bytes_.resize(bytes_.size() - bytes);
        return *this;
    }
    const std::vector<std::byte>& bytes() const { return bytes_; }

private:
    bool big_endian_;
    std::vector<std::byte> bytes_;
};

const std::vector<Point> house{{500, 500}, {512, 500}, {512, 508}, {500, 508}, {500, 500}};
const std::vector<Point> bow_tie{{500, 500}, {512, 510}, {512, 500}, {500, 510}, {500, 500}};

/// 1000 x 1000 m of conifers in the east and grass in the west.
struct Batch {
    std::vector<std::uint8_t> cells = std::vector<std::uint8_t>(1'000'000, 2);
    Grid grid{{0, 1, 0, 1000, 0, -1}, 1000, 1000};
    FuelClassTable classes{std::vector<FuelClass>{
        {1, "conifers", FuelGroup::conifer, whole_share, "test"},
        {2, "grass", FuelGroup::grass, 0, "test"},
    }};
    RingPlan plan{{1.5, 10}, {1, 1}};
    std::vector<std::vector<std::byte>> features{Wkb{}.head(3).number(1U).ring(house).bytes()};
    std::vector<FeatureStatus> status;
    std::vector<double> exposure, ring_m2;
    BatchOptions options;

    Batch()
    {
        for (std::size_t k = 0; k < cells.size(); ++k)
            if (k % 1000 >= 512)
                cells[k] = 1;
    }
    RasterView raster() const { return {cells.data(), CellType::uint8, 1000, 1, grid, {}}; }
    void measure_it()
    {
        std::vector<std::span<const std::byte>> spans{features.begin(), features.end()};
        if (status.empty())
            status.resize(features.size());
        exposure.resize(features.size());
        if (ring_m2.empty())
            ring_m2.resize(2 * features.size());
        const Columns columns{.status = status, .exposure = exposure, .ring_m2 = ring_m2};
        measure_all(WkbView{spans}, raster(), classes, plan, columns, options);
    }
};

template <typename Change>
std::function<void()> after(Change&& change)
{
    return [change] {
        Batch example;
        change(example);
        example.measure_it();
    };
}

} // namespace

TEST_CASE("every kind of well-known binary has its status, and figures where it has polygons")
{
    struct Case {
        std::string_view why;
        Wkb wkb;
        FeatureStatus status;
    };
    const Wkb inner = Wkb{}.head(3).number(1U).ring(house);
    const Case cases[] = {
        {"a polygon", inner, FeatureStatus::ok},
        {"big endian", Wkb{true}.head(3).number(1U).ring(house), FeatureStatus::ok},
        {"with Z", Wkb{}.head(1003).number(1U).ring(house, 1), FeatureStatus::ok},
        {"with Z and M", Wkb{}.head(3003).number(1U).ring(house, 2), FeatureStatus::ok},
        {"EWKB with Z and a CRS",
         Wkb{}.head(3U | 0xa0000000U).number(32611U).number(1U).ring(house, 1), FeatureStatus::ok},
        {"several", Wkb{}.head(6).number(1U).head(3).number(1U).ring(house), FeatureStatus::ok},
        {"a collection with a point",
         Wkb{}.head(7).number(2U).head(1).number(1.0).number(2.0).head(3).number(1U).ring(house),
         FeatureStatus::ok},
        {"crosses itself", Wkb{}.head(3).number(1U).ring(bow_tie), FeatureStatus::repaired},
        {"nothing", Wkb{}, FeatureStatus::empty},
        {"no rings", Wkb{}.head(3).number(0U), FeatureStatus::empty},
        {"no area", Wkb{}.head(3).number(1U).ring({{500, 500}, {510, 500}, {500, 500}}),
         FeatureStatus::empty},
        {"not a number",
         Wkb{}.head(3).number(1U).ring({{500, not_a_number}, {510, 500}, {510, 510}}),
         FeatureStatus::not_finite},
        {"far off", Wkb{}.head(3).number(1U).ring({{2e8, 0}, {2e8 + 9, 0}, {2e8, 9}}),
         FeatureStatus::not_finite},
        {"a point", Wkb{}.head(1).number(1.0).number(2.0), FeatureStatus::not_polygons},
        {"a line", Wkb{}.head(2).ring(house), FeatureStatus::not_polygons},
        {"a curve", Wkb{}.head(10).number(1U), FeatureStatus::not_polygons},
        {"cut short", Wkb{}.head(3).number(1U).ring(house).cut(3), FeatureStatus::malformed},
        {"longer than it says", Wkb{}.head(3).number(1U).ring(house).number(1U),
         FeatureStatus::malformed},
        {"rings beyond its bytes", Wkb{}.head(3).number(4'000'000'000U), FeatureStatus::malformed},
        {"a county", Wkb{}.head(3).number(1U).ring({{0, 0}, {2e4, 0}, {2e4, 2e4}, {0, 2e4}}),
         FeatureStatus::too_large},
    };
    Batch all;
    all.features.clear();
    for (const Case& c : cases)
        all.features.push_back(c.wkb.bytes());
    all.options.jobs = 3;
    all.measure_it();
    Batch alone;
    alone.measure_it();
    // Steiner's formula, from memory: P r + pi r^2 about a convex outline.
    CHECK(std::abs(alone.ring_m2[0] - (40 * 1.5 + std::acos(-1.0) * 2.25)) < 1e-9);
    for (std::size_t k = 0; k < std::size(cases); ++k) {
        CAPTURE(cases[k].why);
        CHECK(std::string_view{name_of(all.status[k])} == name_of(cases[k].status));
        const bool has_figures = cases[k].status <= FeatureStatus::repaired;
        CHECK(std::isnan(all.exposure[k]) == !has_figures);
        CHECK(std::isnan(all.ring_m2[2 * k]) == !has_figures);
        if (cases[k].status == FeatureStatus::ok)
            CHECK(all.exposure[k] == alone.exposure[0]);
    }
}

TEST_CASE("a batch says what it cannot work with before it measures")
{
    static const std::int32_t falling[] = {0, 5, 3};
    static const std::int32_t beyond[] = {0, 9};
    static const std::int32_t one[] = {0, 1};
    static const double xy[10] = {};
    const auto layout = [](std::span<const std::int32_t> rings) {
        return [rings] {
            Batch e;
            const PolygonsView view{{}, {std::span{one}}, {rings}, xy, xy + 1, 5, 2};
            measure_all(view, e.raster(), e.classes, e.plan, {}, {});
        };
    };
    const Refused rows[] = {
        {"no rings", after([](Batch& e) {
             e.plan = {{}, {}};
         }),
         "at least one distance"},
        {"too few places", after([](Batch& e) { e.ring_m2.resize(1); }),
         "columns: one place for each feature and ring"},
        {"too many places", after([](Batch& e) { e.status.resize(2); }),
         "columns: status has a place for each feature"},
        {"stretches of others", after([](Batch& e) {
             static const RingStretch two[2];
             e.options.stretches = two;
         }),
         "stretches: one for each feature"},
        {"a code that the table lacks", after([](Batch& e) { e.cells[500 * 1000 + 505] = 77; }),
         "a code near the footprints is not in the fuel-class table: 77"},
        {"rings that fall", layout(falling), "offsets of rings do not rise"},
        {"rings beyond the coordinates", layout(beyond), "or point behind the coordinates"},
    };
    check_refused(rows);
    Batch lenient;
    lenient.cells[500 * 1000 + 505] = 77;
    lenient.options.unknown_codes_are_unmapped = true;
    lenient.measure_it();
    CHECK(lenient.status[0] == FeatureStatus::ok);
}

TEST_CASE("nodata and NaN are unknown, and a fraction is no code")
{
    Batch example;
    std::vector<double> cells(example.cells.begin(), example.cells.end());
    for (std::size_t k = 0; k < cells.size(); ++k)
        if (k % 1000 < 512)
            cells[k] = k % 2 == 0 ? not_a_number : -9;
    const std::vector<std::span<const std::byte>> spans{example.features.begin(),
                                                        example.features.end()};
    std::vector<double> mapped(2), ring(2);
    RasterView view{cells.data(), CellType::float64, 8000, 8, example.grid, -9.0};
    const Columns columns{.ring_m2 = ring, .mapped_m2 = mapped};
    measure_all(WkbView{spans}, view, example.classes, example.plan, columns);
    CHECK(mapped[0] > 0);
    CHECK(mapped[0] < ring[0] / 2); // the eastern wall and two corners
    cells[500 * 1000 + 515] = 1.5;
    CHECK(refusal([&] {
              measure_all(WkbView{spans}, view, example.classes, example.plan, columns);
          }).find("fuel-class table: 1.5") != std::string::npos);
}
