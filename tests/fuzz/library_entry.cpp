// SPDX-License-Identifier: Apache-2.0

// The public library from bytes: footprints, plans, tables, windows, heights and samples of any
// numbers. It refuses them by an exception that its headers name, or its figures keep their laws.
#include "fuzz/any_numbers.hpp"
#include "fuzz/entries.hpp"
#include "fuzz/seeds.hpp"

#include <fuelring/cells_needed.hpp>
#include <fuelring/error.hpp>
#include <fuelring/map_scale.hpp>
#include <fuelring/repair.hpp>
#include <fuelring/slope.hpp>
#include <fuelring/statistics/accuracy.hpp>
#include <fuelring/statistics/sample_plan.hpp>
#include <fuelring/surface.hpp>

#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <stdexcept>

namespace fuelring::test {

namespace {

constexpr std::int64_t most_cells = 200'000; // of a window: larger ones are slow, no more

/// A law that does not hold: a finding.
struct Broken : std::exception {
    explicit Broken(const char* law) : what_(law) {}
    const char* what() const noexcept override { return what_; }
    const char* what_;
};

void law(bool holds, const char* text)
{
    if (!holds)
        throw Broken{text};
}

std::vector<RawPolygon> polygons(Bytes& in)
{
    std::vector<RawPolygon> parts(1 + in.up_to(2));
    for (RawPolygon& part : parts) {
        part.loops.resize(1 + in.up_to(1));
        for (Loop& loop : part.loops)
            for (std::size_t k = in.up_to(9); k > 0; --k) {
                const double x = in.number();
                loop.push_back({x, in.number()});
            }
    }
    return parts;
}

Footprint footprint(Bytes& in)
{
    const bool as_given = in.byte() % 2 == 0;
    const std::vector<RawPolygon> parts = polygons(in);
    if (as_given) {
        std::vector<RawLoop> loops;
        for (const RawPolygon& part : parts)
            for (std::size_t k = 0; k < part.loops.size(); ++k)
                loops.push_back({part.loops[k], k > 0});
        return normalised(loops);
    }
    Footprint clean = repaired(parts).footprint;
    if (!clean.loops.empty())
        require_valid(clean);
    return clean;
}

RingPlan plan(Bytes& in)
{
    if (in.byte() % 4 > 0)
        return {{0.5, 3, 8}, {0.5, 0, 0.25}};
    RingPlan any{in.numbers(5), {}};
    any.weight = in.numbers(5);
    return any;
}

RingStretch stretch(Bytes& in)
{
    if (in.byte() % 2 == 0)
        return {};
    const double angle = in.number();
    return {std::abs(in.number()), std::abs(in.number()), {std::cos(angle), std::sin(angle)}};
}

Grid grid(Bytes& in)
{
    const std::array<double, 6> usual{0, 1, 0, 0, 0, -1};
    if (in.byte() % 4 > 0)
        return Grid{usual, 100, 100}.at_scale(in.byte() % 4 > 0 ? 1 : in.number());
    return Grid{{in.number(), in.number(), in.number(), in.number(), in.number(), in.number()},
                static_cast<std::int64_t>(in.byte()),
                100};
}

FuelClassTable table(Bytes& in)
{
    std::vector<FuelClass> rows(in.up_to(4));
    std::int64_t code = 0;
    for (FuelClass& row : rows) {
        row.code = ++code;
        row.group = static_cast<FuelGroup>(1 + in.up_to(8));
        row.conifer_share = in.byte() % 5 == 0 ? in.byte() * 100 - 5000 : in.byte() % 2 * 5000;
    }
    return FuelClassTable{rows};
}

void check_outlines(const Footprint& house, const RingPlan& rings, const RingOutlines& outlines)
{
    double inner = area_m2(house);
    law(inner >= 0, "a footprint has an area");
    const double perimeter = perimeter_m(house);
    const auto parts = static_cast<double>(house.loops.size()); // at most
    for (std::size_t k = 0; k < rings.outer_m.size(); ++k) {
        const Outline& outline = outlines.within[k + 1];
        require_valid(outline);
        const double within = area_m2(outline);
        // Chords of 256 a quarter turn fall short by 1.6e-6 of the radius; pieces meet within 1e-9.
        const double slack = 1e-5 * (within + 1);
        law(within + slack >= inner, "each outline holds the one before it");
        const double r = rings.outer_m[k];
        const double least = std::sqrt(area_m2(house)) + r * std::sqrt(std::numbers::pi);
        law(within + slack >= least * least, "Brunn and Minkowski");
        if (outlines.widest.is_round() || k == 0)
            law(within - slack <= area_m2(house) + perimeter * r + parts * std::numbers::pi * r * r,
                "Steiner's formula is the most");
        inner = within;
    }
}

void check_measure(const StructureMeasure& m, const RingPlan& rings, const RingOutlines& outlines)
{
    double sum = 0;
    for (const RingArea& ring : m.rings) {
        const double slack = 1e-9 * (area_m2(outlines.within.back()) + 1);
        law(ring.ring_m2 >= -1e4 * slack && std::isfinite(ring.ring_m2), "rings have an area");
        law(std::abs(ring.mapped_m2 + ring.unmapped_m2 - ring.ring_m2) <= slack,
            "mapped and unmapped are all of a ring");
        law(ring.conifer_m2 >= 0 && ring.conifer_m2 <= ring.mapped_m2, "conifers are mapped");
        law(ring.other_burnable_m2 >= 0 && ring.other_burnable_m2 <= ring.mapped_m2,
            "vegetation is mapped");
        sum += ring.ring_m2;
    }
    const double all = area_m2(outlines.within.back()) - area_m2(outlines.within.front());
    law(std::abs(sum - all) <= 1e-9 * (std::abs(all) + 1), "rings sum to all that is within");
    if (const auto e = exposure(m, rings))
        law(*e >= 0 && *e <= 100 + 1e-9, "exposure lies between 0 and 100");
    if (m.nearest_conifer_m)
        law(*m.nearest_conifer_m >= 0, "conifers are at some distance");
}

/// What cells add, times their conifers, is the exposure.
void check_surface(const RingOutlines& outlines, const CellFrame& frame, const Grid& cells,
                   const StructureMeasure& m, const RingPlan& rings, const FuelClassTable& classes,
                   const CellRect& rect, const std::vector<ClassIndex>& fuel)
{
    SurfaceTile tile;
    tile.begin(rect);
    tile.add(outlines, frame, cells, points_per_m2(m, rings));
    tile.finish();
    double sum = 0;
    double most = 1;
    for (std::int64_t row = 0; row < rect.rows; ++row)
        for (std::int64_t col = 0; col < rect.cols; ++col) {
            const double points = tile.points(rect.row + row, rect.col + col);
            const FuelClass& c = classes[fuel[static_cast<std::size_t>(row * rect.cols + col)]];
            law(points >= 0 && std::isfinite(points), "a cell adds something or nothing");
            if (c.group != FuelGroup::unmapped) { // the others carry no value
                sum += points * c.conifer_share / whole_share;
                most = std::max(most, points);
            }
        }
    if (const auto e = exposure(m, rings))
        law(std::abs(sum - *e) <= 1e-6 * most * 100, "the surface is the transpose of measuring");
}

void measure_any(Bytes& in)
{
    const Footprint house = footprint(in);
    const RingPlan rings = plan(in);
    const RingStretch sloping = stretch(in);
    const Grid cells = grid(in);
    const FuelClassTable classes = table(in);
    const RingOutlines outlines = ring_outlines(house, rings, sloping);
    check_outlines(house, rings, outlines);
    const CellFrame frame = cells.frame_at({in.number(), in.number()});
    const CellRect needed = cells_needed(outlines, frame, cells);
    const CellRect rect = widened(needed, static_cast<std::int64_t>(in.up_to(3)) - 1);
    if (rect.empty() || rect.cols > most_cells || rect.rows > most_cells / rect.cols)
        return;
    std::vector<ClassIndex> fuel(static_cast<std::size_t>(rect.cols * rect.rows));
    std::uint32_t state = in.byte() + 1U;
    const auto kinds = static_cast<std::uint32_t>(classes.rows().size() + in.byte() / 250);
    for (ClassIndex& c : fuel)
        c = static_cast<ClassIndex>((state = state * 1664525U + 1013904223U) / 65536 % kinds);
    const FuelWindow window{rect, fuel, static_cast<std::size_t>(rect.cols),
                            contributions(classes)};
    const StructureMeasure m = measure(house, outlines, frame, cells, window, rings);
    check_measure(m, rings, outlines);
    check_surface(outlines, frame, cells, m, rings, classes, rect, fuel);
}

void slope_any(Bytes& in)
{
    const Footprint house = footprint(in);
    HeightLattice lattice{{0, 0}, {0.5, -0.5}, {1, 0}, {0, -1}};
    if (in.byte() % 4 == 0)
        lattice = {{in.byte(), 0},
                   {in.number(), in.number()},
                   {in.number(), in.number()},
                   {in.number(), in.number()}};
    SlopeFit fit{house, lattice, in.byte() % 4 > 0 ? 5 : in.number()};
    const CellRect rect = fit.cells();
    if (rect.empty() || rect.cols > most_cells || rect.rows > most_cells / rect.cols)
        return;
    HeightWindow heights{rect, {}};
    for (std::int64_t k = 0; k < rect.cols * rect.rows; ++k)
        heights.height_m.push_back(k < 64 ? in.number() : static_cast<double>(k % rect.cols));
    fit.take(heights);
    const auto slope = fit.fit();
    if (!slope || slope->is_flat() || !std::isfinite(slope->fall))
        return;
    const UphillLine line{house, lattice, slope->downhill, 10, 30};
    std::vector<double> along;
    for (std::int64_t k = 0; k <= std::min<std::int64_t>(line.steps, 1000); ++k)
        along.push_back(heights.between(lattice.cell_of(line.at(k))));
    if (const auto at = slope_break_m(line, along, slope->fall))
        law(*at >= 0 && std::isfinite(*at), "a break lies at some distance");
}

void scale_any(Bytes& in)
{
    const double bend = in.number();
    const Point shift{in.number(), in.number()};
    const auto place_of = [&](Point map) -> std::optional<GeographicPlace> {
        if (map.x > 1e6)
            return std::nullopt;
        return GeographicPlace{shift.x + map.x / 100'000,
                               shift.y + map.y / (100'000 + bend * map.x)};
    };
    const double angle = in.number();
    const Point axis{std::cos(angle), std::sin(angle)};
    const Ellipsoid body{in.byte() % 4 > 0 ? 6'378'137 : in.number(),
                         in.byte() % 4 > 0 ? 298 : in.number()};
    const double unit_m = in.byte() % 4 > 0 ? 1 : in.number();
    const ScaleAtPlace at =
        map_scale_at({place_of, body, unit_m}, {in.number(), in.number()}, axis, {-axis.y, axis.x});
    law(at.along_axes.x > 0 && at.along_axes.y > 0, "scales are above 0");
    law(at.smallest <= at.along_axes.x * (1 + 1e-9) && at.along_axes.x <= at.largest * (1 + 1e-9),
        "no axis lies beyond the extremes");
    law(std::abs(at.skew) <= 1 + 1e-9, "a skew is a cosine");
}

void sample_any(Bytes& in)
{
    ConfusionMatrix matrix{{}, {}};
    for (std::size_t k = in.up_to(4); k > 0; --k)
        matrix.classes.push_back(std::string(k, 'c'));
    matrix.counts.resize(matrix.size() * matrix.size() + in.byte() / 250);
    for (std::int64_t& count : matrix.counts)
        count = in.byte() - 5;
    const std::vector<double> areas = in.numbers(4);
    const std::vector<double> expected = in.numbers(4);
    const auto how = static_cast<Allocation>(in.up_to(2));
    try {
        const Accuracy a = assess(matrix, areas);
        double sum = 0;
        for (const ClassAccuracy& c : a.classes)
            sum += c.area_share.value;
        law(std::abs(sum - 1) < 1e-9, "adjusted shares sum to 1");
        law(a.overall.value >= 0 && a.overall.value <= 1 + 1e-9, "accuracy is a share");
        (void)weighted_area(matrix, areas, expected);
    } catch (const Error&) { // the sample is planned all the same
    }
    const double wanted = std::abs(in.number()) / 100;
    const std::vector<Stratum> strata = expected_strata(areas, expected);
    const SamplePlan sample = plan_sample(strata, wanted, how, in.byte());
    std::int64_t points = 0;
    for (const std::int64_t n : sample.points)
        points += n;
    law(points == sample.total, "points sum to the total");
    law(sample.expected_se <= wanted * (1 + 1e-9), "the plan meets what is wanted");
}

} // namespace

void read_library(std::string_view bytes)
{
    Bytes in{bytes};
    try {
        switch (in.byte() % 8) {
        case 3:
            return scale_any(in);
        case 0:
            return sample_any(in);
        case 1:
            return slope_any(in);
        default:
            return measure_any(in);
        }
    } catch (const std::logic_error&) { // a precondition, as its header says
    } catch (const Error&) {
        throw;
    } catch (const std::runtime_error&) { // GEOS has its reasons
    }
}

std::vector<std::string> library_seeds()
{
    // A kind, then as the functions above take it: coordinates are (byte - 100) / 4.
    const auto text = [](const char* bytes, std::size_t size) { return std::string{bytes, size}; };
    return {
        text("\x02\x01\x00\x00\x04\x64\x64\x8c\x64\x8c\x84\x64\x84\x01\x00\x01\x01\x02\x00\x01"
             "\x01\x03\x01\x00\x64\x64\x01",
             27),
        text("\x02\x01\x01\x00\x04\x64\x64\x8c\x64\x8c\x8c\x64\x8c\x00\x04\x78\x78\xa0\x78\xa0"
             "\xa0\x78\xa0\x01\x01\x70\x68\x6c\x01\x01\x02\x00\x01\x01\x03\x01\x00\x64\x64\x01",
             40),
        text("\x01\x01\x00\x00\x04\x64\x64\x8c\x64\x8c\x84\x64\x84\x01\x01\x64\x68\x6c\x70", 19),
        text("\x03\x64\x64\x6c\x66\x01\x01\x01\x64\x64", 10),
        text("\x00\x02\x20\x06\x06\x20\x00\x02\x70\x80\x02\x67\x66\x01\x66\x02", 16)};
}

} // namespace fuelring::test
