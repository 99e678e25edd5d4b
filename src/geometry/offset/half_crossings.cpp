// SPDX-License-Identifier: Apache-2.0

// At the height y (in semi-axes across) the downhill half lies D sqrt(1 - y^2) beyond its centre
// and the uphill half of the other egg U sqrt(1 - (y - h)^2) short of its own, h higher. They meet
// where the two add up to the distance of the centres. The sum is concave in y and its top lies
// between the two centres, so there is one crossing at most on either side of it. Bisection finds
// it to the noise of the roots near y = +-1; Newton's method in both angles does the rest.
#include "geometry/offset/half_crossings.hpp"

#include "geometry/tolerances.hpp"

#include <array>

namespace fuelring {
namespace {

constexpr int halvings = 40;
constexpr int newton_steps = 3;

/// The point between low and high where `below` turns from true to false.
template <typename Test>
double bisected(double low, double high, Test&& below)
{
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        (below(middle) ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

class Halves {
public:
    Halves(const Egg& egg, Point to)
        : d_(egg.r_m * egg.down), u_(egg.r_m), dx_(to.x), h_(to.y / (egg.r_m * egg.across))
    {}

    std::vector<HalfCrossing> crossings() const
    {
        if (!(dx_ > 0 && dx_ < d_ + u_ && std::abs(h_) < 2))
            return {};
        const double low = std::max(-1.0, h_ - 1);
        const double high = std::min(1.0, h_ + 1);
        const double top =
            bisected(std::max(low, std::min(0.0, h_)), std::min(high, std::max(0.0, h_)),
                     [&](double y) { return slope(y) > 0; });
        if (sum(top) - dx_ <= touching * (d_ + u_))
            return {};
        std::vector<HalfCrossing> found;
        if (sum(low) < dx_)
            found.push_back(polished(bisected(low, top, [&](double y) { return sum(y) < dx_; })));
        if (sum(high) < dx_)
            found.push_back(polished(bisected(top, high, [&](double y) { return sum(y) >= dx_; })));
        return found;
    }

private:
    static double root(double y) { return std::sqrt(std::max(0.0, (1 - y) * (1 + y))); }
    double sum(double y) const { return d_ * root(y) + u_ * root(y - h_); }
    double slope(double y) const { return -d_ * y / root(y) - u_ * (y - h_) / root(y - h_); }

    HalfCrossing polished(double y) const
    {
        double t = std::asin(y);
        double s = 2 * quarter_turn - std::asin(std::clamp(y - h_, -1.0, 1.0));
        for (int i = 0; i < newton_steps; ++i) {
            // p(t) - q(s) along the slope and across it, and its derivatives.
            const double x_off = d_ * std::cos(t) - u_ * std::cos(s) - dx_;
            const double y_off = std::sin(t) - std::sin(s) - h_;
            const double x_t = -d_ * std::sin(t);
            const double x_s = u_ * std::sin(s);
            const double y_t = std::cos(t);
            const double y_s = -std::cos(s);
            const double det = x_t * y_s - x_s * y_t;
            if (det == 0)
                break;
            t -= (x_off * y_s - x_s * y_off) / det;
            s -= (x_t * y_off - x_off * y_t) / det;
        }
        return {{std::cos(t), std::sin(t)}, {std::cos(s), std::sin(s)}};
    }

    double d_;
    double u_;
    double dx_;
    double h_;
};

} // namespace

std::vector<HalfCrossing> crossings_of_halves(const Egg& egg, Point to)
{
    return Halves{egg, to}.crossings();
}

} // namespace fuelring
