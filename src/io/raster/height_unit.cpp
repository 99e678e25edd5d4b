// SPDX-License-Identifier: Apache-2.0
#include "io/raster/height_unit.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <utility>

namespace fuelring {

namespace {

struct Unit {
    std::string_view key; ///< of the configuration
    const char* name;
    double metres;
};
const Unit& row_of(HeightUnit unit)
{
    static constexpr std::array<Unit, 3> units{
        {{"m", "metres", 1}, {"ft", "feet", 0.3048}, {"us-ft", "US survey feet", 1200.0 / 3937.0}}};
    return units.at(static_cast<std::size_t>(unit));
}

using Name = std::pair<std::string_view, HeightUnit>;

/// What files call them; letters and digits alone, lower case.
constexpr std::array<Name, 17> names{{{"m", HeightUnit::metre},
                                      {"metre", HeightUnit::metre},
                                      {"metres", HeightUnit::metre},
                                      {"meter", HeightUnit::metre},
                                      {"meters", HeightUnit::metre},
                                      {"ft", HeightUnit::foot},
                                      {"foot", HeightUnit::foot},
                                      {"feet", HeightUnit::foot},
                                      {"internationalfoot", HeightUnit::foot},
                                      {"internationalfeet", HeightUnit::foot},
                                      {"usft", HeightUnit::us_survey_foot},
                                      {"ftus", HeightUnit::us_survey_foot},
                                      {"usfoot", HeightUnit::us_survey_foot},
                                      {"footus", HeightUnit::us_survey_foot},
                                      {"ussurveyfoot", HeightUnit::us_survey_foot},
                                      {"ussurveyfeet", HeightUnit::us_survey_foot},
                                      {"surveyfoot", HeightUnit::us_survey_foot}}};

std::optional<HeightUnit> unit_called(std::string_view text)
{
    std::string bare;
    for (const char c : text)
        if (const auto byte = static_cast<unsigned char>(c); std::isalnum(byte))
            bare += static_cast<char>(std::tolower(byte));
    const auto* const found = std::find_if(names.begin(), names.end(),
                                           [&](const Name& name) { return name.first == bare; });
    return found == names.end() ? std::nullopt : std::optional{found->second};
}

/// The name of the unit of heights in a CRS with a vertical part; empty without one.
std::string vertical_unit(GDALDatasetH file)
{
    OGRSpatialReferenceH srs = GDALGetSpatialRef(file);
    if (!srs || !OSRIsVertical(srs))
        return {};
    char* name = nullptr;
    OSRGetTargetLinearUnits(srs, "VERT_CS", &name);
    return name ? name : "";
}

} // namespace

double metres_in(HeightUnit unit)
{
    return row_of(unit).metres;
}

const char* name_of(HeightUnit unit)
{
    return row_of(unit).name;
}

std::optional<HeightUnit> height_unit_of_key(std::string_view text)
{
    for (const HeightUnit unit : {HeightUnit::metre, HeightUnit::foot, HeightUnit::us_survey_foot})
        if (text == row_of(unit).key)
            return unit;
    return std::nullopt;
}

HeightUnitFound find_height_unit(GDALDatasetH file, GDALRasterBandH band,
                                 std::optional<HeightUnit> configured)
{
    if (configured)
        return {*configured, "by the configuration"};
    // The band goes before the CRS: a file may keep its heights in feet on a CRS whose heights are
    // metres.
    const char* of_band = GDALGetRasterUnitType(band);
    const std::string text = of_band && *of_band ? of_band : vertical_unit(file);
    if (text.empty())
        return {HeightUnit::metre, "assumed: the file names no unit", true};
    if (const auto unit = unit_called(text))
        return {*unit, "by the file"};
    return {HeightUnit::metre, fmt::format("assumed: the file's unit '{}' is not known", text),
            true};
}

} // namespace fuelring
