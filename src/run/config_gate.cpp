// SPDX-License-Identifier: Apache-2.0
#include "run/config_gate.hpp"

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
        throw t->wrong("max_change", fmt::format("{} is no change of a share", gate.max_change),
                       "percentage points are 0 to 100; on = false turns the gate off");
    gate.max_structures_change =
        t->number_from_0("max_structures_change", gate.max_structures_change);
    return gate;
}

} // namespace fuelring
