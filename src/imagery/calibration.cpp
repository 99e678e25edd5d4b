// SPDX-License-Identifier: Apache-2.0

// A logistic regression on ln s and -ln(1 - s), by Newton's method: the likelihood is concave, so
// there is one best fit, where the gradient is 0. The third part of the gradient is the sum of what
// is told less the sum of what is true: hence the means agree. A factor that would come out below 0
// says that the truth falls where shares rise; it is held at 0, and the others are fitted again.
#include "imagery/calibration.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <cstddef>

namespace fuelring {

namespace {

constexpr double least_share = 0.001; ///< shares nearer to 0 or to 1 are taken as this far away
constexpr double pull = 1;            ///< on both factors towards 1, in cells
constexpr int most_steps = 100;

using Factors = Eigen::Vector3d;

/// What the factors are multiplied by.
Factors terms_of(float share)
{
    const double s = std::clamp<double>(share, least_share, 1 - least_share);
    return {std::log(s), -std::log1p(-s), 1};
}

double logistic(double z)
{
    return 1 / (1 + std::exp(-z));
}

/// Cells, each with its weight.
struct Sample {
    std::span<const float> shares, truth;
    std::span<const double> weights;
};

/// The best factors where `held` ones stay 0. A long step overshoots where most shares are near 0
/// or 1, so steps are cut.
Factors fitted(const Sample& sample, const std::array<bool, 2>& held)
{
    Factors factors{held[0] ? 0.0 : 1.0, held[1] ? 0.0 : 1.0, 0};
    for (int step = 0; step < most_steps; ++step) {
        Factors gradient = pull * (factors - Factors{1, 1, factors[2]});
        Eigen::Matrix3d curvature = Factors{pull, pull, 1e-9}.asDiagonal();
        for (std::size_t i = 0; i < sample.shares.size(); ++i) {
            const double weight = sample.weights.empty() ? 1 : sample.weights[i];
            const Factors terms = terms_of(sample.shares[i]);
            const double p = logistic(terms.dot(factors));
            gradient += weight * (p - static_cast<double>(sample.truth[i])) * terms;
            curvature += weight * p * (1 - p) * terms * terms.transpose();
        }
        for (int k = 0; k < 2; ++k) {
            if (!held[static_cast<std::size_t>(k)])
                continue;
            gradient[k] = 0;
            curvature.row(k).setZero();
            curvature.col(k).setZero();
            curvature(k, k) = 1;
        }
        const Factors by = curvature.ldlt().solve(gradient).cwiseMax(-1).cwiseMin(1);
        if (!by.allFinite())
            break;
        factors -= by;
        if (by.cwiseAbs().sum() < 1e-10)
            break;
    }
    return factors;
}

} // namespace

ShareCalibration::ShareCalibration(std::span<const float> shares, std::span<const float> truth,
                                   std::span<const double> weights)
{
    const Sample sample{shares, truth, weights};
    std::array<bool, 2> held{};
    Factors factors = fitted(sample, held);
    for (int again = 0; again < 2 && factors.head<2>().minCoeff() < 0; ++again) {
        held[factors[0] < factors[1] ? 0 : 1] = true;
        factors = fitted(sample, held);
    }
    factors_ = {factors[0], factors[1], factors[2]};
}

float ShareCalibration::operator()(float share) const
{
    return static_cast<float>(
        logistic(terms_of(share).dot(Factors{factors_[0], factors_[1], factors_[2]})));
}

} // namespace fuelring
