// SPDX-License-Identifier: Apache-2.0
#include "ground.hpp"

#include <doctest/doctest.h>

using namespace fuelring;
using namespace fuelring::test;
using doctest::Approx;

namespace {

double radians_of(Point direction)
{
    return std::atan2(direction.y, direction.x);
}

/// What least squares predicts for the spread of the slope: heights with independent errors of
/// standard deviation sigma give the gradient the covariance sigma^2 S^-1, S = sum of the squares
/// and products of the cells' places about their mean (Gauss-Markov). The slope is the length of
/// the gradient, so to first order its error is that of the part along it.
double predicted_spread(const Footprint& house, const HeightLattice& lattice, double within_m,
                        double sigma, double towards)
{
    const CellRect rect = SlopeFit{house, lattice, within_m}.cells();
    std::vector<Point> places;
    Point mean;
    for (std::int64_t row = rect.row; row < rect.row + rect.rows; ++row)
        for (std::int64_t col = rect.col; col < rect.col + rect.cols; ++col)
            if (const Point p = lattice.centre(col, row);
                distance(p, house) <= within_m && !contains(house, p)) {
                places.push_back(p);
                mean = mean + p;
            }
    mean = (1 / static_cast<double>(places.size())) * mean;
    double xx = 0;
    double xy = 0;
    double yy = 0;
    for (const Point p : places) {
        const Point d = p - mean;
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
    }
    const double c = std::cos(towards);
    const double s = std::sin(towards);
    return sigma * std::sqrt((c * c * yy - 2 * c * s * xy + s * s * xx) / (xx * yy - xy * xy));
}

/// Standard deviation of slopes, and mean of squared residuals, over many draws of the noise.
struct Draws {
    double spread = 0;
    double residual_m2 = 0;
    std::int64_t cells = 0;
};
Draws draw(const Footprint& house, const HeightLattice& lattice, double within_m, double sigma,
           const Plane& plane, int count)
{
    std::mt19937_64 rng{4711};
    std::normal_distribution<double> noise{0, sigma};
    double sum = 0;
    double squares = 0;
    Draws draws;
    for (int k = 0; k < count; ++k) {
        const auto slope =
            slope_around(house, lattice, within_m, [&](Point p) { return plane(p) + noise(rng); });
        REQUIRE(slope);
        sum += slope->fall - plane.fall;
        squares += (slope->fall - plane.fall) * (slope->fall - plane.fall);
        draws.residual_m2 += slope->residual_m * slope->residual_m / count;
        draws.cells = slope->cells;
    }
    draws.spread = std::sqrt((squares - sum * sum / count) / (count - 1));
    return draws;
}

} // namespace

TEST_CASE("a plane has its own slope and fall line, however cells, walls and fall lie")
{
    const Footprint house = polygon({{0, 0}, {14, 2}, {13, 9}, {6, 8}, {5, 12}, {-1, 11}});
    for (const double lattice_turn : {0.0, 0.7, 2.9, 5.0})
        for (const bool mirrored : {false, true})
            for (int step = 0; step < 12; ++step) {
                const Plane plane{0.05 * (step + 1), step * std::numbers::pi / 6 - 3};
                CAPTURE(lattice_turn);
                CAPTURE(plane.towards);
                const auto slope =
                    slope_around(house, turned_lattice(lattice_turn, 1.5, 2, mirrored), 30, plane);
                REQUIRE(slope);
                // Heights of 430 m are good to 6e-14 m. Over 60 m that is 1e-15, and sums of some
                // 1,500 of them may lose two digits more.
                CHECK(slope->fall == Approx(plane.fall).epsilon(1e-12));
                CHECK(std::remainder(radians_of(slope->downhill) - plane.towards,
                                     2 * std::numbers::pi) == Approx(0).epsilon(1e-11));
                CHECK(slope->residual_m < 1e-12);
                CHECK(std::hypot(slope->downhill.x, slope->downhill.y) == Approx(1).epsilon(1e-15));
            }
}

TEST_CASE("the height is the mean of those that make the slope: on a plane, that of the middle")
{
    const Plane plane{0.3, 1};
    const auto slope =
        slope_around(rectangle(12, 8, {-5.7, -4.2}), turned_lattice(0.7, 1.5, 2), 30, plane);
    REQUIRE(slope);
    CHECK(slope->height_m ==
          Approx(plane({0.3, -0.2})).epsilon(1e-12)); // cells lie about it evenly
}

TEST_CASE("gaps and the edge of the raster leave a plane its slope")
{
    const Footprint house = rectangle(12, 8);
    const HeightLattice lattice = turned_lattice(0.3, 1, 1);
    const Plane plane{0.3, 1};
    const auto half =
        slope_around(house, lattice, 30, [&](Point p) { return p.x > 5 ? gap : plane(p); });
    REQUIRE(half);
    CHECK(half->fall == Approx(0.3).epsilon(1e-12));
    // The window may hold part of the rows and columns only, and come in bands.
    SlopeFit whole{house, lattice, 30};
    SlopeFit bands{house, lattice, 30};
    CellRect rect = whole.cells();
    rect.col += 20;
    rect.cols -= 20;
    const auto bumpy = [&](Point p) { return plane(p) + std::sin(p.x) * std::cos(2 * p.y); };
    whole.take(heights_of(lattice, rect, bumpy));
    for (std::int64_t row = 0; row < rect.rows; row += 7)
        bands.take(heights_of(
            lattice,
            {rect.col, rect.row + row, rect.cols, std::min<std::int64_t>(7, rect.rows - row)},
            bumpy));
    CHECK(whole.fit()->fall == bands.fit()->fall); // bit for bit
    CHECK(whole.fit()->residual_m == bands.fit()->residual_m);
}

TEST_CASE("noise spreads the slope as least squares predicts")
{
    struct Case {
        std::string_view why;
        double cell_m, sigma_m, within_m;
        Footprint house;
    };
    const Case cases[] = {
        {"laser scan: 0.2 m on cells of 1 m", 1, 0.2, 30, rectangle(12, 8)},
        {"satellites: 2 m on cells of 30 m", 30, 2, 30, rectangle(60, 45)},
        {"the same with a wider distance", 30, 2, 100, rectangle(12, 8)},
    };
    constexpr int draws_taken = 300;
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const Plane plane{0.3, 0.4};
        const HeightLattice lattice = turned_lattice(0.1, c.cell_m, c.cell_m);
        const double predicted =
            predicted_spread(c.house, lattice, c.within_m, c.sigma_m, plane.towards);
        const Draws draws = draw(c.house, lattice, c.within_m, c.sigma_m, plane, draws_taken);
        MESSAGE(c.why << ": spread of the slope " << 100 * draws.spread << " %, predicted "
                      << 100 * predicted << " %, cells " << draws.cells);
        // The standard deviation of N draws is itself good to 1/sqrt(2 N); four of these. Where the
        // spread is not small against the slope, the part across it adds its square:
        // (predicted / slope)^2 / 2.
        const double tolerance = 4 / std::sqrt(2.0 * draws_taken) +
                                 0.5 * (predicted / plane.fall) * (predicted / plane.fall);
        CHECK(draws.spread == Approx(predicted).epsilon(tolerance));
        // Squared residuals have the mean sigma^2 and a relative spread of sqrt(2 / (cells - 3)).
        const double of_residual =
            4 * std::sqrt(2.0 / static_cast<double>(draws.cells - 3) / draws_taken);
        CHECK(draws.residual_m2 == Approx(c.sigma_m * c.sigma_m).epsilon(of_residual));
    }
}

TEST_CASE("fewer than six heights, or heights in one line, make no slope")
{
    const Footprint house = rectangle(1, 1, {-0.5, -0.5});
    const Plane plane{0.2, 0};
    int left = 0;
    const auto first_few = [&](int count) {
        left = count;
        return slope_around(house, turned_lattice(0, 2, 2), 9, [&](Point p) {
            const bool in_block = std::abs(p.x) < 3 && p.y > 3 && p.y < 7; // 3 columns, 2 rows
            return in_block && left-- > 0 ? plane(p) : gap;
        });
    };
    CHECK_FALSE(first_few(0));
    CHECK_FALSE(first_few(5)); // of two rows
    REQUIRE(first_few(6));
    CHECK(first_few(6)->cells == 6);
    CHECK(first_few(6)->fall == Approx(0.2).epsilon(1e-12));
    const HeightLattice skew = turned_lattice(0.7, 1, 1);
    const auto one_row = slope_around(house, skew, 30, [&](Point p) {
        return std::abs(skew.cell_of(p).y - 70'010) < 0.5 ? plane(p) : gap;
    });
    CHECK_FALSE(one_row);
    const auto diagonal = slope_around(house, skew, 30, [&](Point p) {
        const Point cell = skew.cell_of(p);
        return std::abs(cell.y - cell.x - 40'000) < 0.5 ? plane(p) : gap;
    });
    CHECK_FALSE(diagonal);
}

TEST_CASE("level ground is flat and falls nowhere")
{
    const Footprint house = rectangle(12, 8);
    const HeightLattice lattice = turned_lattice(0.3, 1, 1);
    const auto level = slope_around(house, lattice, 30, [](Point) { return 1234.5; });
    REQUIRE(level);
    CHECK(level->fall == 0);
    CHECK(level->is_flat());
    CHECK(level->downhill == Point{0, 0});
    CHECK_FALSE(slope_around(house, lattice, 30, Plane{2e-5, 0})->is_flat());
}

TEST_CASE("a cliff tells itself by its residual")
{
    // Level ground with a step of 20 m through the middle of the house: the plane leans towards the
    // lower side, and the heights differ from it by metres.
    const auto slope = slope_around(rectangle(12, 8, {-6, -4}), turned_lattice(0, 1, 1), 30,
                                    [](Point p) { return p.x < 0 ? 520.0 : 500.0; });
    REQUIRE(slope);
    CHECK(slope->downhill.x == Approx(1).epsilon(1e-3));
    CHECK(slope->residual_m > 4);
}
