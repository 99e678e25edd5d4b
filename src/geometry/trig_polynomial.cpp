// SPDX-License-Identifier: Apache-2.0

// By the mean value theorem |f(t) - f(m)| <= max |f'| |t - m|: an interval about m in which |f(m)|
// is larger than that holds no root. The same of f' and f'': where |f'(m)| is larger, f is monotone
// and two signs tell all. Both bounds come from the amplitudes, since a cos kt + b sin kt is
// hypot(a, b) cos(k t - phase) and each derivative multiplies it by k.
#include "geometry/trig_polynomial.hpp"

#include "geometry/angles.hpp"
#include "geometry/tolerances.hpp"

#include <algorithm>
#include <cmath>

namespace fuelring {
namespace {

/// Intervals shorter than this hold a point of touch.
constexpr double shortest_interval = 1e-9;

/// a0 + a1 cos t + b1 sin t = 0: two angles about that of (a1, b1).
void roots_of_degree_1(const TrigPolynomial& f, double t0, double t1, std::vector<double>& found)
{
    const double size = std::hypot(f.a1, f.b1);
    const double share = -f.a0 / size;
    if (!(std::abs(share) <= 1 - touching))
        return;
    const double top = std::atan2(f.b1, f.a1);
    // acos(share), but with all digits near 1, where acos loses half of them.
    const double half = std::atan2(std::sqrt((1 - share) * (1 + share)), share);
    for (double t : {top - half, top + half}) {
        t += full_turn * std::ceil((t0 - t) / full_turn);
        if (t <= t1)
            found.push_back(t);
    }
    std::sort(found.begin(), found.end());
}

/// The one root of f in an interval where it is monotone and changes sign: Newton, kept inside by
/// bisection.
double root_between(const TrigPolynomial& f, double a, double b)
{
    const bool rising = f(b) > 0;
    double t = (a + b) / 2;
    for (int k = 0; k < 60 && a < b; ++k) {
        const double value = f(t);
        ((value > 0) == rising ? b : a) = t;
        double next = t - value / f.slope(t);
        if (!(next > a && next < b))
            next = (a + b) / 2;
        if (std::abs(next - t) <= 1e-16 * (1 + std::abs(t)))
            return next;
        t = next;
    }
    return t;
}

} // namespace

double TrigPolynomial::operator()(double t) const
{
    const double c = std::cos(t);
    const double s = std::sin(t);
    return a0 + a1 * c + b1 * s + a2 * (c - s) * (c + s) + 2 * b2 * s * c;
}

double TrigPolynomial::slope(double t) const
{
    const double c = std::cos(t);
    const double s = std::sin(t);
    return b1 * c - a1 * s + 2 * (b2 * (c - s) * (c + s) - 2 * a2 * s * c);
}

void roots(const TrigPolynomial& f, double t0, double t1, std::vector<double>& found)
{
    const double first = std::hypot(f.a1, f.b1);
    const double second = std::hypot(f.a2, f.b2);
    if (second <= 1e-14 * (std::abs(f.a0) + first)) {
        roots_of_degree_1(f, t0, t1, found);
        return;
    }
    // Halve until an interval holds no root for sure, or f is monotone in it for sure.
    const double most_slope = first + 2 * second;
    const double most_bend = first + 4 * second;
    const double middle = (t0 + t1) / 2;
    const double half = (t1 - t0) / 2;
    if (std::abs(f(middle)) > most_slope * half)
        return;
    if (std::abs(f.slope(middle)) > most_bend * half) {
        if ((f(t0) > 0) != (f(t1) > 0))
            found.push_back(root_between(f, t0, t1));
        return;
    }
    if (half < shortest_interval)
        return;
    roots(f, t0, middle, found);
    roots(f, middle, t1, found);
}

} // namespace fuelring
