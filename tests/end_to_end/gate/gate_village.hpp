// SPDX-License-Identifier: Apache-2.0

// A village with every input, whose next delivery can be made up.
#pragma once

#include "support/make_inputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <functional>
#include <map>
#include <string>
#include <vector>

namespace fuelring::test {

/// The south-western corner of the village, and the way from parcel to parcel, metres of
/// EPSG:32611.
inline constexpr double west = 600180, south = 5600180, step = 30;

/// A rectangle with a text: a house and its id, a parcel and its owner, a neighbourhood and its
/// name.
struct Plot {
    std::string text;
    double x0, y0, x1, y1;

    void move(double east, double north);
};
/// An address.
struct Spot {
    std::string text;
    double x, y;
};

/// What is delivered. 64 houses in eight rows, each on its parcel, in four neighbourhoods.
struct Delivery {
    std::vector<Plot> houses;                      ///< row by row from the south
    std::vector<Spot> addresses;                   ///< of each house
    std::vector<Plot> neighbourhoods;              ///< quarters of the village
    std::vector<Plot> parcels;                     ///< of each house, every ninth the town's
    std::vector<Plot> visits;                      ///< ground without conifers
    FuelFile fuel;                                 ///< cells of 2 m, the village in the middle
    std::function<int(double x, double y)> ground; ///< code at a place
    ElevationFile heights;                         ///< cells of 10 m on a hillside
    struct Form {
        std::string driver;
        std::string extension;
        int epsg;
    };
    std::map<std::string, Form> forms; ///< by layer, where they are others

    Delivery();
};

/// The village in a folder, mapped once.
class Village {
public:
    Village();
    /// Writes a delivery and maps it into a folder where the good run lies.
    ProgramResult map(const Delivery& delivery);
    fs::path out() const { return folder_.path() / "out"; }

private:
    void write(const Delivery& delivery);
    void write_layer(const Delivery& delivery, const std::string& name, const std::string& column,
                     const std::vector<Shape>& shapes);

    TempFolder folder_;
    ConfigFile config_;
};

/// A delivery of the battery.
struct BatteryCase {
    std::string kind; ///< what --accept takes; of a plausible one the input that changed
    std::string what; ///< as the manual has it
    std::function<void(Delivery&)> act;
};
std::vector<BatteryCase> wrong_deliveries();
std::vector<BatteryCase> plausible_deliveries();

} // namespace fuelring::test
