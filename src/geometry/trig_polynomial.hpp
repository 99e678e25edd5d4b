// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

namespace fuelring {

/// a0 + a1 cos t + b1 sin t + a2 cos 2t + b2 sin 2t. With z = e^it it is a polynomial of degree 4
/// in z over z^2: at most four roots a turn.
/// Any quadratic polynomial in x and y has this form along an ellipse.
struct TrigPolynomial {
    double a0 = 0, a1 = 0, b1 = 0, a2 = 0, b2 = 0;

    /// Unit of t: radians, here and below. Source of cos 2t: (cos t - sin t)(cos t + sin t).
    double operator()(double t) const;
    double slope(double t) const; ///< its derivative
};
/// Appends the roots in [t0, t1], rising; none where the curve only touches 0. Of degree 1 in
/// closed form; else intervals are halved until bounds of slope (|a1, b1| + 2 |a2, b2|) and bend
/// (|a1, b1|
/// + 4 |a2, b2|) tell that there is none, or one.
/// Law: a root where the sign changes is found once, to a few roundings of t; two roots closer than
/// about 1e-9 may be taken for a touch. Requires: t0 <= t1.
void roots(const TrigPolynomial& f, double t0, double t1, std::vector<double>& found);

} // namespace fuelring
