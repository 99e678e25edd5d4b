// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>

namespace fuelring {

/// What turns a model's share of conifers into one that is right on average: a logistic function of
/// its logit. Fitted to held-out cells, the mean of the shares is the mean of the truth, and larger
/// ones stay larger.
/// Source: Platt 1999, Probabilistic outputs for support vector machines (from memory).
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
    double slope() const { return slope_; }
    double offset() const { return offset_; }

private:
    double slope_ = 1;
    double offset_ = 0;
};

} // namespace fuelring
