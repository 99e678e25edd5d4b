// SPDX-License-Identifier: Apache-2.0

// C on the outside, the batch call inside: views are made of what the caller holds, exceptions
// become codes and texts, and results go into a table that the caller releases.
#include "batch/arrow_table.hpp"
#include "batch/c_request.hpp"

#include <fuelring/batch.hpp>
#include <fuelring/error.hpp>
#include <fuelring/fuelring.h>
#include <fuelring/version.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <new>
#include <optional>
#include <span>
#include <stdexcept>

struct fuelring_error {
    std::string text;
};

namespace fuelring::batch {

namespace {

int code_of(const Error& e)
{
    switch (e.kind()) {
    case Failure::usage:
        return FUELRING_USAGE;
    case Failure::interrupted:
        return FUELRING_INTERRUPTED;
    default:
        return FUELRING_INPUT;
    }
}

/// Nothing that fails comes out as anything but a code.
template <typename Work>
int guarded(fuelring_error** error, Work&& work) noexcept
{
    const auto put = [error](int code, const std::string& text) {
        if (error)
            *error = new (std::nothrow) fuelring_error{text};
        return code;
    };
    try {
        try {
            work();
            return FUELRING_OK;
        } catch (const Error& e) {
            return put(code_of(e), e.message());
        } catch (const std::invalid_argument& e) {
            return put(FUELRING_USAGE, e.what());
        } catch (const std::bad_alloc&) {
            return put(FUELRING_NO_MEMORY, "not enough memory");
        } catch (const std::exception& e) {
            return put(FUELRING_INTERNAL, e.what());
        }
    } catch (...) { // no memory for the text
        return FUELRING_NO_MEMORY;
    }
}

FuelClass class_of(const fuelring_class& row)
{
    const std::optional<FuelGroup> group =
        row.group ? fuel_group(row.group) : std::optional<FuelGroup>{};
    if (!group)
        refuse(std::string{"'"} + (row.group ? row.group : "") + "' is no group", "rows.group",
               "conifer, mixed, broadleaved, grass, shrub, built, water, bare or unmapped");
    const double share = std::round(row.conifer_share * whole_share);
    if (!(share >= 0 && share <= whole_share &&
          std::abs(row.conifer_share * whole_share - share) < 1e-6))
        refuse("a share goes from 0 to 1 and has four decimals at most", "rows.conifer_share");
    return {row.code, "", *group, static_cast<std::int32_t>(share), ""};
}

void require_place(const void* place, const char* what)
{
    if (!place)
        refuse("there is no place for the result", what);
}

void measure(const fuelring_request* request, ArrowSchema& schema, ArrowArray& array)
{
    const CRequest call{request};
    const std::size_t n = call.features();
    if (n > static_cast<std::size_t>(std::numeric_limits<std::int32_t>::max()) / 16)
        refuse("too many features for one table", "request.footprints", "measure them in parts");
    call.plan().require_valid();
    const std::size_t rings = call.plan().outer_m.size();
    std::vector<FeatureStatus> status(n);
    Columns columns{status};
    std::vector<ArrowColumn> table;
    table.reserve(11);
    table.push_back({.name = "status", .is_text = true});
    const auto add = [&](const char* name, std::span<double> Columns::*place, std::size_t a_row) {
        ArrowColumn& column = table.emplace_back(ArrowColumn{.name = name, .a_row = a_row});
        column.numbers.resize(n * std::max<std::size_t>(a_row, 1));
        columns.*place = column.numbers;
    };
    add("exposure", &Columns::exposure, 0);
    add("nearest_conifer_m", &Columns::nearest_conifer_m, 0);
    add("footprint_m2", &Columns::footprint_m2, 0);
    add("roof_canopy_m2", &Columns::roof_canopy_m2, 0);
    add("ring_m2", &Columns::ring_m2, rings);
    add("mapped_m2", &Columns::mapped_m2, rings);
    add("conifer_m2", &Columns::conifer_m2, rings);
    add("conifer_frac", &Columns::conifer_frac, rings);
    add("other_burnable_frac", &Columns::other_burnable_frac, rings);
    add("unmapped_frac", &Columns::unmapped_frac, rings);
    measure_all(call.footprints(), call.raster(), call.classes(), call.plan(), columns,
                call.options());
    table.front().texts.reserve(n);
    for (const FeatureStatus s : status)
        table.front().texts.emplace_back(name_of(s));
    hand_over(std::move(table), n, schema, array);
}

} // namespace

} // namespace fuelring::batch

using namespace fuelring;
using namespace fuelring::batch;

const char* fuelring_version(void)
{
    return version;
}

const char* fuelring_error_text(const fuelring_error* error)
{
    return error ? error->text.c_str() : "";
}

void fuelring_error_free(fuelring_error* error)
{
    delete error;
}

int fuelring_classes_of(const fuelring_class* rows, size_t count, fuelring_classes** classes,
                        fuelring_error** error)
{
    return guarded(error, [&] {
        require_place(classes, "classes");
        if (count > 0 && !rows)
            refuse("there are no rows", "rows");
        std::vector<FuelClass> table;
        for (const fuelring_class& row : std::span{rows, count})
            table.push_back(class_of(row));
        auto made = std::make_unique<fuelring_classes>();
        made->table.emplace(table);
        *classes = made.release();
    });
}

int fuelring_classes_read(const char* path, fuelring_classes** classes, fuelring_error** error)
{
    return guarded(error, [&] {
        require_place(classes, "classes");
        if (!path)
            refuse("there is no path", "path");
        auto made = std::make_unique<fuelring_classes>();
        made->table.emplace(FuelClassTable::read(path));
        *classes = made.release();
    });
}

int fuelring_classes_of_shares(double whole, fuelring_classes** classes, fuelring_error** error)
{
    return guarded(error, [&] {
        require_place(classes, "classes");
        if (!(whole > 0) || std::isinf(whole))
            refuse("the value of a full cell is a number above 0", "whole",
                   "100 for per cent, 1 for fractions");
        auto made = std::make_unique<fuelring_classes>();
        made->full_share = whole;
        *classes = made.release();
    });
}

void fuelring_classes_free(fuelring_classes* classes)
{
    delete classes;
}

fuelring_request fuelring_request_default(void)
{
    fuelring_request request{};
    request.size = sizeof request;
    request.footprints.stride = 1;
    return request;
}

int fuelring_measure(const fuelring_request* request, ArrowSchema* schema, ArrowArray* array,
                     fuelring_error** error)
{
    if (schema)
        *schema = {};
    if (array)
        *array = {};
    return guarded(error, [&] {
        require_place(schema, "schema");
        require_place(array, "array");
        batch::measure(request, *schema, *array);
    });
}

int fuelring_priority(const fuelring_request* request, float* values, ptrdiff_t row_stride,
                      double* sum, fuelring_error** error)
{
    return guarded(error, [&] {
        require_place(values, "values");
        const CRequest call{request};
        const double points = priority_surface(call.footprints(), call.raster(), call.classes(),
                                               call.plan(), {values, row_stride}, call.options());
        if (sum)
            *sum = points;
    });
}
