// SPDX-License-Identifier: Apache-2.0

// The library's batch over the sample's footprints and raster against what the program wrote.
#include "support/make_inputs.hpp"
#include "support/read_outputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <fuelring/batch.hpp>
#include <fuelring/error.hpp>

#include <doctest/doctest.h>

#include <bit>
#include <cmath>
#include <cstring>
#include <limits>
#include <map>

using namespace fuelring::test;
using namespace fuelring;

namespace {

/// The well-known binary in a blob of a GeoPackage. Source: OGC 12-128r18, 2.1.3.1.1.
std::string wkb_of(const std::string& blob)
{
    constexpr std::array<std::size_t, 5> envelope_bytes{0, 32, 48, 48, 64};
    const auto flags = static_cast<unsigned char>(blob.at(3));
    return blob.substr(8 + envelope_bytes.at((flags >> 1) & 7));
}

/// The sample without heights, mapped; its footprints and raster in memory.
class MappedSample {
public:
    MappedSample()
    {
        ConfigFile config = sample_config(sample_data());
        config.tables.erase("inputs.elevation");
        config("output", "dir") = toml_text(out());
        config.write(folder_.path() / "run.toml");
        must_succeed(run_fuelring({"map", folder_.path() / "run.toml"}));
        for (const SqlRow& row :
             sql(out() / "fuelring.gpkg", "select structure_id from structures"))
            ids.push_back(*row[0].text);
        std::map<std::string, std::string> found;
        for (const SqlRow& row :
             sql(sample_data() / "structures.gpkg", "select structure_id, geom from structures"))
            found[*row[0].text] = wkb_of(*row[1].text);
        for (const std::string& id : ids)
            wkb.push_back(found.at(id));
        for (const std::string& bytes : wkb)
            spans.push_back(std::as_bytes(std::span{bytes}));
        for (const float code : band.cells)
            codes.push_back(static_cast<std::uint8_t>(code));
    }

    fs::path out() const { return folder_.path() / "out"; }
    std::vector<double> column(const std::string& name) const
    {
        std::vector<double> values;
        for (const SqlRow& row :
             sql(out() / "fuelring.gpkg", "select \"" + name + "\" from structures"))
            values.push_back(row[0].number.value_or(std::numeric_limits<double>::quiet_NaN()));
        return values;
    }
    RasterView raster() const { return {codes.data(), CellType::uint8, band.cols, 1, grid(), 0.0}; }
    Grid grid() const { return Grid{band.transform, band.cols, band.rows}; }
    FootprintsView view() const { return WkbView{spans}; }

    std::vector<std::string> ids, wkb;
    std::vector<std::span<const std::byte>> spans;
    Band band = read_band(sample_data() / "fuel.tif");
    std::vector<std::uint8_t> codes;
    FuelClassTable classes =
        FuelClassTable::read(sample_data() / "../config/fuel-classes/tamarack_bend.csv");
    RingPlan plan;

private:
    TempFolder folder_;
};

/// Places for all columns.
struct Results {
    explicit Results(std::size_t features, std::size_t rings = 4)
        : status(features), one(4, std::vector<double>(features)),
          by_ring(6, std::vector<double>(features * rings))
    {}
    Columns columns()
    {
        return {status,     one[0],     one[1],     one[2],     one[3],    by_ring[0],
                by_ring[1], by_ring[2], by_ring[3], by_ring[4], by_ring[5]};
    }
    std::vector<FeatureStatus> status;
    std::vector<std::vector<double>> one, by_ring;
};

bool same_bits(const std::vector<double>& a, const std::vector<double>& b)
{
    for (std::size_t k = 0; k < a.size(); ++k)
        if (!(std::isnan(a[k]) && std::isnan(b[k])) &&
            std::bit_cast<std::uint64_t>(a[k]) != std::bit_cast<std::uint64_t>(b[k]))
            return false;
    return a.size() == b.size();
}

bool same_bits(const Results& a, const Results& b)
{
    for (std::size_t k = 0; k < a.one.size(); ++k)
        if (!same_bits(a.one[k], b.one[k]))
            return false;
    for (std::size_t k = 0; k < a.by_ring.size(); ++k)
        if (!same_bits(a.by_ring[k], b.by_ring[k]))
            return false;
    return a.status == b.status;
}

Results measured(const MappedSample& sample, const FootprintsView& footprints,
                 const RasterView& raster, const BatchOptions& options = {})
{
    Results results{sample.ids.size()};
    measure_all(footprints, raster, sample.classes, sample.plan, results.columns(), options);
    return results;
}

const MappedSample& sample()
{
    static const MappedSample mapped;
    return mapped;
}

/// The layout of GeoArrow for polygons without holes of one part, as the sample's are: x, y, x, y.
struct Layout {
    std::vector<double> xy;
    std::vector<std::int32_t> rings{0}, polygons{0};
    std::vector<std::int64_t> features{0};

    explicit Layout(const std::vector<std::string>& wkb)
    {
        for (const std::string& bytes : wkb)
            add(bytes);
    }
    /// Little endian: one polygon, or several.
    void add(const std::string& bytes)
    {
        at_ = 1;
        const std::uint32_t type = count(bytes) % 1000;
        const std::uint32_t parts = type == 6 ? count(bytes) : 1;
        for (std::uint32_t p = 0; p < parts; ++p) {
            at_ += type == 6 ? 5 : 0;
            for (std::uint32_t r = count(bytes); r > 0; --r) {
                const std::uint32_t n = count(bytes);
                const std::size_t from = xy.size();
                xy.resize(from + 2 * n);
                std::memcpy(xy.data() + from, bytes.data() + at_, 16 * n);
                at_ += 16 * n;
                rings.push_back(rings.back() + static_cast<std::int32_t>(n));
            }
            polygons.push_back(static_cast<std::int32_t>(rings.size()) - 1);
        }
        features.push_back(static_cast<std::int64_t>(polygons.size()) - 1);
    }
    PolygonsView view() const
    {
        return {{std::span{features}},
                {std::span{polygons}},
                {std::span{rings}},
                xy.data(),
                xy.data() + 1,
                xy.size() / 2,
                2};
    }

private:
    std::uint32_t count(const std::string& bytes)
    {
        std::uint32_t n = 0;
        std::memcpy(&n, bytes.data() + at_, 4);
        at_ += 4;
        return n;
    }
    std::size_t at_ = 0;
};

} // namespace

TEST_CASE("the batch gives the program's figures to the last bit, for any number of jobs")
{
    const Results one = measured(sample(), sample().view(), sample().raster());
    CHECK(same_bits(one.one[0], sample().column("exposure")));
    CHECK(same_bits(one.one[1], sample().column("nearest_conifer_m")));
    CHECK(same_bits(one.one[2], sample().column("footprint_m2")));
    CHECK(same_bits(one.one[3], sample().column("roof_canopy_m2")));
    const char* const rings[] = {"0_1.5m", "1.5_10m", "10_30m", "30_100m"};
    const char* const heads[] = {
        "ring_m2_", "", "conifer_m2_", "conifer_frac_", "other_burnable_frac_", "unmapped_frac_"};
    for (std::size_t h = 0; h < std::size(heads); ++h)
        for (std::size_t r = 0; r < std::size(rings) && *heads[h]; ++r) {
            const std::string name = std::string{heads[h]} + rings[r];
            CAPTURE(name);
            std::vector<double> of_ring;
            for (std::size_t k = r; k < one.by_ring[h].size(); k += std::size(rings))
                of_ring.push_back(one.by_ring[h][k]);
            CHECK(same_bits(of_ring, sample().column(name)));
        }
    std::size_t repaired = 0;
    for (const FeatureStatus status : one.status)
        repaired += status == FeatureStatus::repaired;
    CHECK(repaired == 1); // as run.json's counts.flags.repaired_outline
    CHECK(same_bits(one, measured(sample(), sample().view(), sample().raster(), {.jobs = 5})));
}

TEST_CASE("neither the layout of footprints nor that of cells changes a bit")
{
    const MappedSample& s = sample();
    const Results plain = measured(s, s.view(), s.raster());
    const Layout layout{s.wkb};
    CHECK(same_bits(plain, measured(s, layout.view(), s.raster())));

    const auto cols = static_cast<std::size_t>(s.band.cols);
    const auto rows = static_cast<std::size_t>(s.band.rows);
    std::vector<float> turned(s.codes.size()); // by columns, from the last row on
    for (std::size_t row = 0; row < rows; ++row)
        for (std::size_t col = 0; col < cols; ++col)
            turned[col * rows + (rows - 1 - row)] = s.codes[row * cols + col];
    const RasterView view{turned.data() + rows - 1,
                          CellType::float32,
                          -4,
                          static_cast<std::ptrdiff_t>(4 * rows),
                          s.grid(),
                          0.0};
    CHECK(same_bits(plain, measured(s, s.view(), view)));
}

TEST_CASE("the batch's surface is priority.tif to the last bit, and sums to the exposure")
{
    const MappedSample& s = sample();
    const Band priority = read_band(s.out() / "priority.tif");
    Results results = measured(s, s.view(), s.raster());
    double exposure = 0;
    for (const double one : results.one[0])
        exposure += std::isnan(one) ? 0 : one;
    for (const int jobs : {1, 4}) {
        CAPTURE(jobs);
        Band surface = priority;
        std::fill(surface.cells.begin(), surface.cells.end(), -1.0F);
        std::size_t done = 0, all = 0;
        const double sum = priority_surface(
            s.view(), s.raster(), s.classes, s.plan, {surface.cells.data(), surface.cols},
            {.jobs = jobs, .progress = [&](std::size_t now, std::size_t of) {
                 CHECK(now >= done);
                 done = now;
                 all = of;
             }});
        CHECK(surface.same_cells(priority));
        CHECK(std::abs(sum - exposure) < 1e-9 * exposure);
        CHECK(done == all);
        CHECK(all == 2 * s.ids.size());
    }
}

TEST_CASE("a stop ends a batch at the next footprint, with the exit code of an interrupt")
{
    const MappedSample& s = sample();
    std::stop_source stop;
    std::size_t last = 0;
    const BatchOptions options{.jobs = 2,
                               .progress =
                                   [&](std::size_t done, std::size_t) {
                                       last = done;
                                       stop.request_stop();
                                   },
                               .stop = stop.get_token()};
    try {
        (void)measured(s, s.view(), s.raster(), options);
        FAIL("it was not stopped");
    } catch (const Error& e) {
        CHECK(e.kind() == Failure::interrupted);
    }
    CHECK(last > 0);
    CHECK(last < s.ids.size());
}
