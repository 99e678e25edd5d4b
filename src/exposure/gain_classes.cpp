// SPDX-License-Identifier: Apache-2.0

// The bits of floats above 0 are in the order of their values, so that their first bits number
// steps of value, each a 2048th of its lower end.
#include "exposure/gain_classes.hpp"

#include <fmt/format.h>

#include <bit>

namespace fuelring {

namespace {

constexpr int bits_left_out = 12; ///< of 23 in a mantissa
constexpr std::uint32_t infinite = 0x7f800000U;

std::size_t step_of(float points)
{
    return std::bit_cast<std::uint32_t>(points) >> bits_left_out;
}

double lower_end(std::size_t step)
{
    return std::bit_cast<float>(static_cast<std::uint32_t>(step) << bits_left_out);
}

} // namespace

GainHistogram::GainHistogram() : steps_((infinite >> bits_left_out) + 1) {}

void GainHistogram::add(float points)
{
    if (!(points > 0))
        return;
    Step& step = steps_[step_of(points)];
    ++step.cells;
    step.points += static_cast<double>(points);
}

std::vector<GainClass> GainHistogram::classes() const
{
    double all = 0;
    for (std::size_t k = steps_.size(); k-- > 0;)
        all += steps_[k].points;
    std::vector<GainClass> found;
    if (all <= 0)
        return found;
    constexpr double last_digits = 1e-12; // of a sum in another order
    GainClass open;
    double held = 0;
    for (std::size_t k = steps_.size(); k-- > 0;) {
        if (steps_[k].cells == 0)
            continue;
        open.from = lower_end(k);
        open.cells += steps_[k].cells;
        open.points += steps_[k].points;
        held += steps_[k].points;
        while (found.size() < gain_shares.size() &&
               held >= gain_shares[found.size()] * all * (1 - last_digits)) {
            found.push_back(open);
            open = {.from = open.from};
        }
    }
    // What the last digits let the last class do without belongs to it.
    found.back().from = open.from;
    found.back().cells += open.cells;
    found.back().points += open.points;
    return found;
}

std::size_t gain_class(const std::vector<GainClass>& classes, double points)
{
    if (!(points > 0))
        return classes.size();
    for (std::size_t k = 0; k < classes.size(); ++k)
        if (points >= classes[k].from)
            return k;
    return classes.empty() ? 0 : classes.size() - 1;
}

std::string gain_class_name(std::size_t k, double area_ha)
{
    constexpr std::array<const char*, gain_shares.size()> names{"first quarter of the gain",
                                                                "second quarter", "third quarter",
                                                                "up to nine tenths", "last tenth"};
    const int decimals = area_ha < 10 ? 2 : area_ha < 100 ? 1 : 0;
    return fmt::format("{}: {:.{}f} ha", names[k], area_ha, decimals);
}

} // namespace fuelring
