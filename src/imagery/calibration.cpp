// SPDX-License-Identifier: Apache-2.0
#include "imagery/calibration.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace fuelring {

namespace {

constexpr double least_share =
    0.001;                 ///< logits of shares beyond it, or beyond 1 less it, are as its
constexpr double pull = 1; ///< on the slope towards 1, in cells
constexpr int most_steps = 100;

double logit(float share)
{
    const double s = std::clamp<double>(share, least_share, 1 - least_share);
    return std::log(s / (1 - s));
}

double logistic(double z)
{
    return 1 / (1 + std::exp(-z));
}

} // namespace

ShareCalibration::ShareCalibration(std::span<const float> shares, std::span<const float> truth,
                                   std::span<const double> weights)
{
    double sum = 0, true_sum = 0;
    for (int step = 0; step < most_steps; ++step) {
        double g0 = pull * (slope_ - 1), g1 = 0, h00 = pull, h01 = 0, h11 = 1e-9;
        sum = true_sum = 0;
        for (std::size_t i = 0; i < shares.size(); ++i) {
            const double weight = weights.empty() ? 1 : weights[i];
            const double z = logit(shares[i]);
            const double p = logistic(slope_ * z + offset_);
            const double w = weight * p * (1 - p);
            g0 += weight * (p - truth[i]) * z;
            g1 += weight * (p - truth[i]);
            h00 += w * z * z;
            h01 += w * z;
            h11 += w;
            sum += weight;
            true_sum += weight * truth[i];
        }
        const double det = h00 * h11 - h01 * h01;
        if (!(det > 0))
            break;
        // A long step overshoots where most shares are near 0 or 1.
        const double by_slope = std::clamp((h11 * g0 - h01 * g1) / det, -1.0, 1.0);
        const double by_offset = std::clamp((h00 * g1 - h01 * g0) / det, -2.0, 2.0);
        slope_ -= by_slope;
        offset_ -= by_offset;
        if (std::abs(by_slope) + std::abs(by_offset) < 1e-10)
            break;
    }
    if (slope_ < 0) {
        slope_ = 0;
        offset_ = logit(static_cast<float>(true_sum / sum));
    }
}

float ShareCalibration::operator()(float share) const
{
    return static_cast<float>(logistic(slope_ * logit(share) + offset_));
}

} // namespace fuelring
