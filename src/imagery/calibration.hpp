// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <span>

namespace fuelring {

/// What turns a model's share of conifers into one that is right on average: logistic(a ln s -
/// b ln(1 - s) + c), which is the share s itself for a = b = 1 and c = 0, and may bend low and high
/// shares apart. Fitted to held-out cells, the mean of the shares is the mean of the truth, and
/// larger ones stay larger.
/// Source: Kull, Silva Filho and Flach 2017, Beta calibration (from memory).
class ShareCalibration {
public:
    ShareCalibration() = default; ///< changes next to nothing
    /// Fits by Newton's method, with a light pull towards the identity where cells say little.
    /// Shares that rise where the truth falls say nothing: all become its mean.
    /// Shape: spans of equal length; values 0 to 1; no weights: all 1. Law: the same cells give the
    /// same bits.
    ShareCalibration(std::span<const float> shares, std::span<const float> truth,
                     std::span<const double> weights = {});

    float operator()(float share) const;
    double of_share() const { return factors_[0]; } ///< a, 0 or more
    double of_rest() const { return factors_[1]; }  ///< b, 0 or more
    double offset() const { return factors_[2]; }   ///< c

    /// a, b and c, read from or written to `bytes` (base/serialization.hpp).
    template <typename Bytes, typename Calibration>
    static void archive(Bytes& bytes, Calibration& calibration)
    {
        bytes(calibration.factors_[0], calibration.factors_[1], calibration.factors_[2]);
    }

private:
    std::array<double, 3> factors_{1, 1, 0};
};

} // namespace fuelring
