// SPDX-License-Identifier: Apache-2.0

// The tables of the configuration, in the order of the manual; their keys are in config_keys.cpp.
#include "run/config/config_keys.hpp"

#include <array>

namespace fuelring {

namespace {

using enum SectionShape;

constexpr auto sections = std::to_array<ConfigSection>({
    {"community", table, true, "the community"},
    {"community.area", inline_table, false,
     "the land that the run is about; structures outside it, and their addresses, are left out"},
    {"inputs", table, true, "inputs: one table per layer, and settings for all of them"},
    {"inputs.structures", table, true,
     "building footprints: polygons in any vector format GDAL can read"},
    {"inputs.structures.attributes", list, false,
     "footprint columns that multiply a structure's score in the ranking"},
    {"inputs.fuel", table, true,
     "vegetation or fuel classes, or the share of conifers: a raster in any format GDAL can read, "
     "or a layer of polygons"},
    {"inputs.addresses", table, false, "address points; each is matched to a structure"},
    {"inputs.neighbourhoods", table, false, "neighbourhood polygons, ranked against each other"},
    {"inputs.parcels", table, false, "land parcels with an owner class; they must not overlap"},
    {"inputs.elevation", table, false, "elevation raster (bare ground)"},
    {"inputs.roads", table, false,
     "roads, as lines: how far each treatment unit is from one, and which method reaches it"},
    {"inputs.corrections", table, false,
     "findings from site visits, dated and initialled, applied on every run; a CSV file or any "
     "vector layer"},
    {"imagery", table, false, "what fuelring classify makes a fuel raster of"},
    {"imagery.images", list, false,
     "images: photographs, other bands, heights; one table for each, at least one"},
    {"imagery.training", table, false,
     "places whose vegetation is known: polygons or points, in any vector format GDAL can read"},
    {"imagery.rule", table, false,
     "what counts as a conifer where there is no table imagery.training: what is tall, and green "
     "in "
     "an image without leaves"},
    {"imagery.output", table, false, "where fuelring classify puts its files"},
    {"rings", table, false, "distances from the walls and their weights"},
    {"terrain", table, false, "how much farther rings reach downhill; only with inputs.elevation"},
    {"terrain.factors", inline_list, false,
     "rows from gentle to steep, interpolated linearly; [] keeps rings round. The default follows "
     "one institution's advice (University of California, Agriculture and Natural Resources). "
     "Where local rules give distances for slopes, enter those"},
    {"uncertainty", table, false,
     "how far footprints and raster may be misaligned, tested by repeated draws; an empty table "
     "means the defaults"},
    {"sensitivity", table, false,
     "what the ranking is tried under, to see which ranks are a toss-up; an empty table resamples "
     "homes"},
    {"sensitivity.trials", list, false,
     "other choices: weights, distances, conifer shares; one table for each"},
    {"gate", table, false,
     "how much may change between two runs before a run stops with exit code 6; an empty table "
     "means the defaults"},
    {"output", table, true, "where outputs go, and how they are written"},
    {"run", table, false, "use of the machine; does not affect results"},
    {"report", table, false, "what fuelring report adds to page and sheets"},
    {"report.context", list, false,
     "streets, water and the like under the maps for the office; one table for each layer"},
    {"appraise", table, false, "what fuelring appraise counts; an empty table means the defaults"},
    {"treat", table, false, "budget and rules for fuelring treat"},
    {"treat.budget", inline_table, true, "either money or hectares"},
    {"treat.costs", inline_list, false,
     "cost per hectare of conifers, by owner class and method; without it, plans do not mention "
     "money. Of several that fit a place, the cheapest holds"},
    {"treat.keep_out", inline_table, false, "layer of places that must be neither cut nor crossed"},
    {"treat.barriers", inline_table, false,
     "layer of lines or areas that treatment units must not cross"},
    {"treat.declined", inline_table, false,
     "land whose owners do not take part: its conifers stay, and no unit crosses it"},
    {"treat.required", inline_table, false,
     "layer of polygons whose conifers are treated first, out of the same budget"},
    {"treat.thinning", inline_list, false,
     "share of conifers that stays, by owner class; instead of residual_share"},
    {"treat.limits", inline_list, false,
     "floors and caps on what the plan does in a neighbourhood, or on an owner's land"},
    {"treat.strips", inline_table, false,
     "layer of lines; with shape = \"strip\", units lie along them"},
    {"treat.years", inline_list, false,
     "years of the work, one after the other, with a budget each; together they have treat.budget"},
});

} // namespace

std::span<const ConfigSection> config_sections()
{
    return sections;
}

} // namespace fuelring
