// SPDX-License-Identifier: Apache-2.0
#include "report/words/plan_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

namespace fuelring::report {

namespace {

struct ConstraintWords {
    std::string_view key;
    std::string_view before_name; ///< all of it where no name belongs to the words
    bool has_name;
};

constexpr ConstraintWords constraint_words[] = {
    {"treat.declined.owners", "declined land of ", true},
    {"treat.declined.parcels", "declined parcels", false},
    {"treat.keep_out", "keep-out areas", false},
    {"treat.barriers", "barriers", false},
    {"treat.required", "required areas", false},
    {"treat.costs", "limits of methods by slope and road", false},
    {"treat.thinning", "thinning on land of ", true},
    {"treat.limits", "", true},
    {"treat.years", "a budget for each year", false},
};

} // namespace

std::string units_in_words(const UnitForm& form, std::string_view square_metres)
{
    if (form.shape == "strip")
        return fmt::format("strips {:g} m wide and at least {:g} m long", form.width_m,
                           form.least_length_m);
    if (form.shape == "parcel")
        return fmt::format("whole parcels with at least {:g} {} of conifers", form.smallest_m2,
                           square_metres);
    return fmt::format("patches of at least {:g} {}", form.smallest_m2, square_metres);
}

std::string constraint_in_words(std::string_view constraint, const std::string& name)
{
    const auto* const found = std::find_if(std::begin(constraint_words), std::end(constraint_words),
                                           [&](const auto& w) { return w.key == constraint; });
    if (found == std::end(constraint_words))
        return std::string{constraint};
    return std::string{found->before_name} + (found->has_name ? name : std::string{});
}

} // namespace fuelring::report
