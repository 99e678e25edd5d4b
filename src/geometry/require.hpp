// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <stdexcept>

namespace fuelring {

/// What a caller of the library must see to. `what`: the function, and what it asks for.
inline void require(bool good, const char* what)
{
    if (!good)
        throw std::invalid_argument{what};
}

} // namespace fuelring
