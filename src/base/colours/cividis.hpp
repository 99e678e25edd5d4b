// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring::report {

/// Red, green and blue, each 0 to 1.
struct Colour {
    double red;
    double green;
    double blue;
};

/// The colour ramp cividis at `share`, 0 to 1 (dark blue to yellow); lighter is always more, so it
/// survives a black and white printer, and eyes that do not tell red from green.
/// Source: Nunez, Anderton and Renslow 2018, doi:10.1371/journal.pone.0199239; ten of its 256
/// colours, in 8 bits, and straight lines between them.
/// A share beyond 0 or 1 has the colour of that end.
Colour cividis(double share);

} // namespace fuelring::report
