// SPDX-License-Identifier: Apache-2.0
#include "base/colours/cividis.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace fuelring::report {

namespace {

/// 0xRRGGBB, at equal steps from 0 to 1.
constexpr std::array<unsigned, 10> ramp{0x00224e, 0x123570, 0x3b496c, 0x575d6d, 0x707173,
                                        0x8a8678, 0xa59c74, 0xc3b369, 0xe1cc55, 0xfee838};

double part(unsigned colour, int shift)
{
    return static_cast<double>((colour >> shift) & 0xffU) / 255;
}

} // namespace

Colour cividis(double share)
{
    const double at = std::clamp(share, 0.0, 1.0) * static_cast<double>(ramp.size() - 1);
    // At the right end the last stretch is used in full, so that low + 1 is a colour.
    const auto low = std::min(static_cast<std::size_t>(at), ramp.size() - 2);
    const double along = at - static_cast<double>(low);
    const auto mix = [&](int shift) {
        return std::lerp(part(ramp[low], shift), part(ramp[low + 1], shift), along);
    };
    return {mix(16), mix(8), mix(0)};
}

} // namespace fuelring::report
