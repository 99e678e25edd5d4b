// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

namespace fuelring {

/// Roots in [t0, t1] of a0 + a1 cos t + b1 sin t + a2 cos 2t + b2 sin 2t, rising; none where the
/// curve only touches 0. At most four a turn.
struct TrigPolynomial {
    double a0 = 0, a1 = 0, b1 = 0, a2 = 0, b2 = 0;

    double operator()(double t) const;
    double slope(double t) const;
};
void roots(const TrigPolynomial& f, double t0, double t1, std::vector<double>& found);

} // namespace fuelring
