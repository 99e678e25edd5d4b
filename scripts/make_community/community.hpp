// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "tools/plane.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace community {

/// Codes of the fuel raster (sample_data/README.md has the legend).
enum Fuel : std::uint8_t {
    no_data = 0,
    conifer_stand = 1,
    lone_conifer = 2, ///< and conifer hedges
    mixed_stand = 3,
    broadleaved = 4,
    grass = 5,
    shrub = 6,
    building = 7,
    paved = 8,
    water = 9,
    bare = 10,
};

/// Later layers are painted over earlier ones.
enum class Layer { ground, water, road, garden, roof, crown, gap };

/// One thing to be painted into the fuel raster: an area (even-odd rings), or a stroke of some
/// width along a line, whose edge may be rough. A stroke of one point is a disc.
struct Paint {
    Layer layer;
    Fuel code;
    Polygon area;              ///< empty for a stroke
    Ring line;                 ///< empty for an area
    double half_width_m = 0;   ///< of a stroke
    double roughness = 0;      ///< of a stroke: 0.4 is up to 40 % wider or narrower
    bool now = true;           ///< is there in fuel.tif
    bool later = true;         ///< is there in fuel_later.tif
    bool only_on_wood = false; ///< changes cells of stands only: a treated strip
};

struct Structure {
    std::string id, kind, roof;
    std::vector<Polygon> parts; ///< more than one: a multi-part building
};

struct Address {
    std::string text;
    Point place;
};

struct Named {
    std::string name;
    Polygon area;
};

struct Parcel {
    std::string owner; ///< private, municipal or crown
    Polygon area;
};

/// A project on paper: what somebody drew before anything was done.
struct Project {
    std::string name;
    std::string leaves; ///< share of the conifers that stays
    std::string cost;   ///< of the whole polygon
    std::string year;
    Polygon area;
};

/// Everything invented, before it is written.
struct Community {
    std::vector<Structure> structures;
    std::vector<Address> addresses;
    std::vector<Named> neighbourhoods;
    std::vector<Parcel> parcels;
    std::vector<Polygon> streets; ///< rights of way: municipal ground where no lot lies
    std::vector<Named> treated_strips;
    std::vector<Project> projects;
    std::vector<Paint> paints;
};

} // namespace community
