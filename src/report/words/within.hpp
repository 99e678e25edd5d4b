// SPDX-License-Identifier: Apache-2.0

// What sentences of a sheet are about: sums over rings, and figures as people read them.
#pragma once

#include "report/words/home_figures.hpp"
#include "report/words/sheet_text.hpp"

#include <algorithm>
#include <cstddef>
#include <string>

namespace fuelring::report {

/// Share of a ring without a known class that goes without saying: it rounds to nothing.
inline constexpr double hardly_any = 5e-3;

/// A share or an area in whole units; "<1" where it is less than half of one but not nothing.
inline std::string whole(double value, const SheetText& text)
{
    return value > 0 && value < 0.5 ? "<1" : text.number(value, 0);
}

/// Areas and shares over the rings up to a distance.
class Within {
public:
    Within(const HomeFigures& home, double distance_m) : home_(home)
    {
        while (rings_ < home.rings.size() && home.rings[rings_].to_m <= distance_m * (1 + 1e-12))
            ++rings_;
    }
    double conifer_m2() const
    {
        double m2 = 0;
        for (std::size_t k = 0; k < rings_; ++k)
            m2 += home_.rings[k].conifer_m2;
        return m2;
    }
    double of_owner_m2(std::size_t owner) const
    {
        double m2 = 0;
        for (std::size_t k = 0; k < rings_; ++k)
            if (owner < home_.rings[k].conifer_m2_of_owner.size())
                m2 += home_.rings[k].conifer_m2_of_owner[owner];
        return m2;
    }
    bool all_mapped() const
    {
        const auto end = home_.rings.begin() + static_cast<std::ptrdiff_t>(rings_);
        return std::all_of(home_.rings.begin(), end, [](const RingFigures& ring) {
            return ring.conifer_frac && ring.unmapped_frac < hardly_any;
        });
    }

private:
    const HomeFigures& home_;
    std::size_t rings_ = 0;
};

} // namespace fuelring::report
