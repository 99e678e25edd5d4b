// SPDX-License-Identifier: Apache-2.0

// PROJ lists the operations between two CRSs that serve an area, best first. Asked for a
// transformation alone, it (and GDAL) would choose among them again at every point, so that an
// outline could be torn where one operation's area ends. Here one is chosen, and kept.
#include "io/gdal/operation_choice.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>

namespace fuelring {

namespace {

using FactoryPtr =
    std::unique_ptr<PJ_OPERATION_FACTORY_CONTEXT, ClosedBy<proj_operation_factory_context_destroy>>;
using ListPtr = std::unique_ptr<PJ_OBJ_LIST, ClosedBy<proj_list_destroy>>;

/// By its code where the code stands for the same: PROJ then knows where it is used.
std::string definition_of(const Crs& crs)
{
    const char* authority = crs.srs().GetAuthorityName(nullptr);
    const char* code = crs.srs().GetAuthorityCode(nullptr);
    if (authority && code) {
        const std::string text = fmt::format("{}:{}", authority, code);
        OGRSpatialReference listed;
        if (listed.SetFromUserInput(text.c_str(),
                                    OGRSpatialReference::SET_FROM_USER_INPUT_LIMITATIONS) ==
            OGRERR_NONE) {
            listed.SetDataAxisToSRSAxisMapping(crs.srs().GetDataAxisToSRSAxisMapping());
            if (listed.IsSame(&crs.srs()))
                return text;
        }
    }
    return crs.wkt();
}

/// True where no step changes the datum: PROJ states no accuracy, and nothing is lost.
bool is_conversion(PJ_CONTEXT* context, const PJ* operation)
{
    if (proj_get_type(operation) != PJ_TYPE_CONCATENATED_OPERATION)
        return proj_get_type(operation) == PJ_TYPE_CONVERSION;
    for (int k = 0; k < proj_concatoperation_get_step_count(context, operation); ++k) {
        const PjPtr step{proj_concatoperation_get_step(context, operation, k)};
        if (!step || !is_conversion(context, step.get()))
            return false;
    }
    return true;
}

std::optional<double> accuracy_of(PJ_CONTEXT* context, const PJ* operation)
{
    const double stated = proj_coordoperation_get_accuracy(context, operation);
    if (stated >= 0)
        return stated;
    return is_conversion(context, operation) ? std::optional{0.0} : std::nullopt;
}

/// File names of grids that are not installed.
std::string missing_grids(PJ_CONTEXT* context, const PJ* operation)
{
    std::string names;
    for (int k = 0; k < proj_coordoperation_get_grid_used_count(context, operation); ++k) {
        const char* name = nullptr;
        int available = 1;
        if (proj_coordoperation_get_grid_used(context, operation, k, &name, nullptr, nullptr,
                                              nullptr, nullptr, nullptr, &available) &&
            !available && name)
            names += (names.empty() ? "" : ", ") + std::string{name};
    }
    return names;
}

bool serves_all(PJ_CONTEXT* context, const PJ* operation, const std::optional<GeoArea>& area)
{
    GeoArea served;
    if (!area || !proj_get_area_of_use(context, operation, &served.west, &served.south,
                                       &served.east, &served.north, nullptr))
        return true;
    return served.holds({area->west, area->south}) && served.holds({area->east, area->north});
}

CoordinateOperation describe(PJ_CONTEXT* context, const PJ* operation)
{
    const char* pipeline = proj_as_proj_string(context, operation, PJ_PROJ_5, nullptr);
    const char* name = proj_get_name(operation);
    return {name && *name ? name : "an operation without a name",
            accuracy_of(context, operation),
            proj_coordoperation_has_ballpark_transformation(context, operation) != 0,
            {},
            pipeline ? pipeline : ""};
}

ListPtr operations_between(PJ_CONTEXT* context, const Crs& from, const Crs& to,
                           const std::optional<GeoArea>& area)
{
    const PjPtr source{proj_create(context, definition_of(from).c_str())};
    const PjPtr target{proj_create(context, definition_of(to).c_str())};
    const FactoryPtr factory{proj_create_operation_factory_context(context, nullptr)};
    if (!source || !target || !factory)
        return nullptr;
    proj_operation_factory_context_set_spatial_criterion(
        context, factory.get(), PROJ_SPATIAL_CRITERION_PARTIAL_INTERSECTION);
    // Operations whose grids are missing stay in the list: only so can it be said what they would
    // gain.
    proj_operation_factory_context_set_grid_availability_use(
        context, factory.get(), PROJ_GRID_AVAILABILITY_USED_FOR_SORTING);
    if (area)
        proj_operation_factory_context_set_area_of_interest(context, factory.get(), area->west,
                                                            area->south, area->east, area->north);
    return ListPtr{proj_create_operations(context, source.get(), target.get(), factory.get())};
}

} // namespace

ContextPtr quiet_context()
{
    ContextPtr context{proj_context_create()};
    proj_context_set_enable_network(context.get(), 0);
    proj_log_level(context.get(), PJ_LOG_NONE);
    return context;
}

CoordinateOperation choose_operation(const Crs& from, const Crs& to,
                                     const std::optional<GeoArea>& area)
{
    const ContextPtr context = quiet_context();
    PJ_CONTEXT* const c = context.get();
    const ListPtr list = operations_between(c, from, to, area);
    std::optional<CoordinateOperation> chosen;
    std::string better;
    double best_m = HUGE_VAL;
    for (int k = 0; list && k < proj_list_get_count(list.get()); ++k) {
        const PjPtr operation{proj_list_get(c, list.get(), k)};
        const std::string missing = missing_grids(c, operation.get());
        if (missing.empty()) {
            if (!chosen && proj_coordoperation_is_instantiable(c, operation.get()))
                chosen = describe(c, operation.get());
            continue;
        }
        const std::optional<double> accuracy = accuracy_of(c, operation.get());
        if (accuracy && *accuracy < best_m && serves_all(c, operation.get(), area)) {
            best_m = *accuracy;
            better =
                fmt::format("{} ({:g} m; {})", proj_get_name(operation.get()), best_m, missing);
        }
    }
    if (!chosen || chosen->pipeline.empty())
        throw Error{Failure::input, fmt::format("PROJ has no way to convert from {} to {}",
                                                from.name(), to.name())};
    if (best_m < chosen->accuracy_m.value_or(HUGE_VAL))
        chosen->with_grids = better;
    return *chosen;
}

std::string CoordinateOperation::in_words() const
{
    if (none())
        return {};
    return fmt::format("by {} ({})", name,
                       ballpark           ? "ballpark: no shift of datum is known"
                       : !accuracy_m      ? "of unstated accuracy"
                       : *accuracy_m == 0 ? "exact"
                                          : fmt::format("stated accuracy {:g} m", *accuracy_m));
}

} // namespace fuelring
