// SPDX-License-Identifier: Apache-2.0
#include "run/treat/treat_method.hpp"

#include "base/caution.hpp"
#include "base/grouped.hpp"
#include "run/manifest/method_sentences.hpp"

#include <fuelring/version.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <vector>

namespace fuelring {

namespace {

std::string unit_sentence(const TreatmentSettings& s)
{
    if (s.parcel_blocks)
        return "A unit is all of a parcel that lowers some exposure and may be treated.";
    if (s.strip_form)
        return fmt::format("Units are strips {:g} m wide and at least {:g} m long along drawn "
                           "lines.",
                           s.strip_form->width_m, s.strip_form->least_length_m);
    return fmt::format("Units are patches of whole map cells with {:g} to {:g} m² of conifers, "
                       "over gaps of at most {:g} m.",
                       s.smallest_m2, s.max_unit_m2, s.gap_m);
}

/// "It keeps to: declined land, required areas."
std::string terms_sentence(const TreatmentSettings& s)
{
    std::vector<std::string> terms;
    const auto add = [&](bool there, const char* words) {
        if (there)
            terms.emplace_back(words);
    };
    add(s.declined.any(), "declined land");
    add(s.keep_out.has_value(), "keep-out areas");
    add(s.barriers.has_value(), "barriers");
    add(s.required.has_value(), "required areas");
    add(!s.thinning.empty(), "thinning by owner");
    add(!s.limits.empty(), "floors and caps");
    add(!s.years.empty(), "a budget for each year");
    add(s.has_method_limits(), "methods by slope and distance to a road");
    return terms.empty() ? std::string{} : fmt::format(" It keeps to: {}.", fmt::join(terms, ", "));
}

std::string bound_sentence(const TreatmentResult& r)
{
    if (r.bounds.reachable <= 0)
        return {};
    // Down to a tenth: a plan that falls short by little has not reached it.
    const double share = std::min(r.exposure_removed / r.bounds.reachable, 1.0);
    return fmt::format(
        " The plan removes {:.1f} points, {:.1f}% of what any plan of such units could remove at "
        "most ({:.1f} points, an upper limit that need not be reachable).",
        r.exposure_removed, std::floor(1000 * share) / 10, r.bounds.reachable);
}

} // namespace

std::string treat_method(const TreatmentResult& result, const Inputs& inputs, const Config& config)
{
    const TreatmentSettings& s = config.treatment.value();
    const auto& before = result.exposure.before;
    const std::int64_t measured =
        std::count_if(before.begin(), before.end(), [](const auto& e) { return e.has_value(); });
    const std::string costs =
        s.has_costs() ? " Costs are those that the programme entered." : std::string{};
    return fmt::format(
        "{} {}. {} {} {}{}{}{} Values after the plan were measured again on the map with these "
        "cells changed. Errors of the map are not included. {} fuelring {}.",
        "Proposed, not done.", buildings_part(config, measured, std::ssize(before)),
        rings_sentence(config.rings), map_sentence(inputs, config), unit_sentence(s),
        terms_sentence(s), costs, bound_sentence(result), caution, version);
}

} // namespace fuelring
