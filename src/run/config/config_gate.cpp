// SPDX-License-Identifier: Apache-2.0
#include "run/config/config_gate.hpp"

#include <fmt/format.h>

namespace fuelring {

GateSettings read_gate(const ConfigTable& root)
{
    GateSettings gate;
    const auto t = root.table("gate");
    if (!t)
        return gate;
    gate.on = t->flag("on", gate.on);
    gate.max_change = t->number_from_0("max_change", gate.max_change);
    if (gate.max_change > 100)
        throw t->wrong("max_change",
                       fmt::format("a change of {} points is out of range", gate.max_change),
                       "percentage points are 0 to 100; on = false turns the gate off");
    gate.max_relative_change = t->number_from_0("max_relative_change", gate.max_relative_change);
    gate.max_structures_change =
        t->number_from_0("max_structures_change", gate.max_structures_change);
    gate.max_regrouped = t->number_from_0("max_regrouped", gate.max_regrouped);
    gate.min_height_correlation =
        t->number_from_0("min_height_correlation", gate.min_height_correlation);
    if (gate.min_height_correlation > 1)
        throw t->wrong(
            "min_height_correlation",
            fmt::format("a correlation of {} is out of range", gate.min_height_correlation),
            "correlations are 0 to 1; on = false turns the gate off");
    return gate;
}

} // namespace fuelring
