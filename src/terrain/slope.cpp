// SPDX-License-Identifier: Apache-2.0

// A plane z = a u + b v + c by least squares, u and v counted in cells: the best plane is the same
// in any coordinates that depend on each other linearly, and in cells the moments are sums of
// whole numbers. Relative to the mean of the places the constant drops out, and the normal
// equations are those of a and b alone: (sum uu, sum uv; sum uv, sum vv) (a, b) = (sum uz, sum vz).
// Heights are taken relative to the first one. The gradient is then carried over into metres of the
// local frame.
#include "geometry/require.hpp"
#include "terrain/cells_around.hpp"

#include <fuelring/slope.hpp>

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

/// Cells lie in one line where they spread across it by less than this part of its length.
constexpr double thinnest = 1e-6;

struct Sample {
    double u;
    double v;
    double z;
};

Sample operator-(const Sample& a, const Sample& b)
{
    return {a.u - b.u, a.v - b.v, a.z - b.z};
}

Sample mean_of(const std::vector<Sample>& samples)
{
    Sample sum{0, 0, 0};
    for (const Sample& s : samples)
        sum = {sum.u + s.u, sum.v + s.v, sum.z + s.z};
    const auto n = static_cast<double>(samples.size());
    return {sum.u / n, sum.v / n, sum.z / n};
}

/// Sums over the samples relative to their mean.
struct Moments {
    Eigen::Matrix2d places = Eigen::Matrix2d::Zero();
    Eigen::Vector2d with_heights = Eigen::Vector2d::Zero();
};

Moments moments_of(const std::vector<Sample>& samples, const Sample& mean)
{
    double uu = 0;
    double uv = 0;
    double vv = 0;
    double uz = 0;
    double vz = 0;
    for (const Sample& s : samples) {
        const Sample d = s - mean;
        uu += d.u * d.u;
        uv += d.u * d.v;
        vv += d.v * d.v;
        uz += d.u * d.z;
        vz += d.v * d.z;
    }
    Moments m;
    m.places << uu, uv, uv, vv;
    m.with_heights << uz, vz;
    return m;
}

double residual(const std::vector<Sample>& samples, const Sample& mean,
                const Eigen::Vector2d& gradient)
{
    double squares = 0;
    for (const Sample& s : samples) {
        const Sample d = s - mean;
        const double off = d.z - gradient[0] * d.u - gradient[1] * d.v;
        squares += off * off;
    }
    // Three numbers of the plane are fitted, so n - 3 are free.
    return std::sqrt(squares / static_cast<double>(samples.size() - 3));
}

/// Metres of the local frame per column (first column) and per row (second).
Eigen::Matrix2d steps_of(const HeightLattice& lattice)
{
    Eigen::Matrix2d steps;
    steps << lattice.col_step.x, lattice.row_step.x, lattice.col_step.y, lattice.row_step.y;
    return steps;
}

bool in_one_line(const Moments& m, const Eigen::Matrix2d& steps)
{
    const Eigen::Matrix2d spread = steps * m.places * steps.transpose();
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes{spread, Eigen::EigenvaluesOnly};
    return !(axes.eigenvalues()[0] > thinnest * thinnest * axes.eigenvalues()[1]);
}

} // namespace

struct SlopeFit::Impl {
    HeightLattice lattice;
    CellRect cells;
    CellsAround around;
    std::vector<std::uint8_t> chosen{};
    std::vector<Sample> samples{};
    double reference_m = 0;
    std::int64_t next_row = std::numeric_limits<std::int64_t>::min();
};

SlopeFit::SlopeFit(const Footprint& footprint, const HeightLattice& lattice, double within_m)
{
    require_valid(footprint);
    require(within_m >= 0 && within_m <= farthest_local_m,
            "SlopeFit: the distance is finite and not below 0");
    impl_ = std::make_unique<Impl>(Impl{lattice,
                                        lattice.cells_in(bounds(footprint).grown(within_m)),
                                        {footprint, lattice, within_m}});
}

SlopeFit::~SlopeFit() = default;

CellRect SlopeFit::cells() const
{
    return impl_->cells;
}

void SlopeFit::take(const HeightWindow& heights)
{
    Impl& it = *impl_;
    const CellRect& rect = heights.rect;
    heights.require_valid();
    require(rect.row >= it.next_row, "SlopeFit::take: rows come once, from the first to the last");
    it.next_row = rect.row + rect.rows;
    it.chosen.resize(static_cast<std::size_t>(std::max<std::int64_t>(rect.cols, 0)));
    for (std::int64_t j = 0; j < rect.rows; ++j) {
        it.around.choose(rect.row + j, rect.col, it.chosen);
        const auto row = heights.height_m.begin() + static_cast<std::ptrdiff_t>(j * rect.cols);
        const auto v = static_cast<double>(rect.row + j - it.lattice.at.row);
        for (std::int64_t i = 0; i < rect.cols; ++i) {
            if (!it.chosen[static_cast<std::size_t>(i)] || !std::isfinite(row[i]))
                continue;
            if (it.samples.empty())
                it.reference_m = row[i];
            it.samples.push_back({static_cast<double>(rect.col + i - it.lattice.at.col), v,
                                  row[i] - it.reference_m});
        }
    }
}

std::optional<LocalSlope> SlopeFit::fit() const
{
    const std::vector<Sample>& samples = impl_->samples;
    const auto n = static_cast<std::int64_t>(samples.size());
    if (n < fewest_slope_cells)
        return std::nullopt;
    const Eigen::Matrix2d steps = steps_of(impl_->lattice);
    const Sample mean = mean_of(samples);
    const Moments m = moments_of(samples, mean);
    if (in_one_line(m, steps))
        return std::nullopt;
    const Eigen::Vector2d per_cell = m.places.ldlt().solve(m.with_heights);
    // A step s of the lattice rises by s . gradient: per_cell = steps^T gradient.
    const Eigen::Vector2d gradient = steps.transpose().inverse() * per_cell;
    LocalSlope slope{
        gradient.norm(), {}, residual(samples, mean, per_cell), n, impl_->reference_m + mean.z};
    if (!slope.is_flat())
        slope.downhill = {-gradient[0] / slope.fall, -gradient[1] / slope.fall};
    return slope;
}

} // namespace fuelring
