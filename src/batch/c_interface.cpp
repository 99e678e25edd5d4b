// SPDX-License-Identifier: Apache-2.0

// C on the outside, the batch call inside: views are made of what the caller holds, exceptions
// become codes and texts, and results go into a table that the caller releases.
#include "batch/arrow_table.hpp"

#include <fuelring/batch.hpp>
#include <fuelring/error.hpp>
#include <fuelring/fuelring.h>
#include <fuelring/version.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <memory>
#include <new>
#include <optional>
#include <span>
#include <stdexcept>
#include <stop_token>

struct fuelring_error {
    std::string text;
};

struct fuelring_classes {
    std::optional<fuelring::FuelClassTable> table{};
    double full_share = 0; ///< of shares, which need no table
};

namespace fuelring::batch {

namespace {

[[noreturn]] void refuse(const std::string& what, const char* where, const char* remedy = "")
{
    throw Error{Failure::usage, what, where, remedy};
}

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

OffsetsView offsets_of(const fuelring_offsets& offsets, const char* what)
{
    if (offsets.count == 0)
        return {std::span<const std::int32_t>{}};
    if (!offsets.values || (offsets.bits != 32 && offsets.bits != 64))
        refuse("offsets are numbers of 32 or 64 bits", what);
    if (offsets.bits == 32)
        return {std::span{static_cast<const std::int32_t*>(offsets.values), offsets.count}};
    return {std::span{static_cast<const std::int64_t*>(offsets.values), offsets.count}};
}

/// Footprints as the batch call takes them.
class Footprints {
public:
    explicit Footprints(const fuelring_footprints& from)
    {
        if (from.wkb || from.wkb_offsets.count > 0)
            take_wkb(from);
        else
            take_layout(from);
    }
    const FootprintsView& view() const { return view_; }
    std::size_t size() const { return size_; }

private:
    void take_wkb(const fuelring_footprints& from)
    {
        const OffsetsView offsets = offsets_of(from.wkb_offsets, "footprints.wkb_offsets");
        size_ = offsets.size() > 0 ? offsets.size() - 1 : 0;
        spans_.reserve(size_);
        for (std::size_t k = 0; k < size_; ++k) {
            if (offsets[k] < 0 || offsets[k + 1] < offsets[k] || (!from.wkb && offsets[k + 1] > 0))
                refuse("offsets do not rise, or there are no bytes", "footprints.wkb_offsets");
            spans_.push_back(std::as_bytes(std::span{
                from.wkb + offsets[k], static_cast<std::size_t>(offsets[k + 1] - offsets[k])}));
        }
        view_ = WkbView{spans_};
    }

    void take_layout(const fuelring_footprints& from)
    {
        if (from.coordinates > 0 && (!from.x || !from.y || from.stride == 0))
            refuse("there are no coordinates, or no stride", "footprints");
        PolygonsView view{offsets_of(from.features, "footprints.features"),
                          offsets_of(from.polygons, "footprints.polygons"),
                          offsets_of(from.rings, "footprints.rings"),
                          from.x,
                          from.y,
                          from.coordinates,
                          from.stride};
        if (view.polygons.size() == 0 || view.rings.size() == 0)
            refuse("there are neither well-known binary nor offsets of polygons and rings",
                   "footprints");
        size_ = (view.features.size() > 0 ? view.features : view.polygons).size() - 1;
        view_ = view;
    }

    std::vector<std::span<const std::byte>> spans_;
    FootprintsView view_{WkbView{}};
    std::size_t size_ = 0;
};

/// A request, looked at and turned into what the batch call takes.
class Call {
public:
    explicit Call(const fuelring_request* asked)
        : request_{copied(asked)},
          footprints_{request_.footprints}, raster_{raster_of(request_)}, plan_{plan_of(request_)}
    {
        options_.jobs = request_.jobs;
        options_.unknown_codes_are_unmapped = request_.unknown_codes_are_unmapped != 0;
        options_.stop = stop_.get_token();
        if (const double scale = request_.units_per_metre; scale != 0)
            options_.scale = [scale](Point) { return LocalScale{scale}; };
        if (request_.progress)
            options_.progress = [this](std::size_t done, std::size_t all) {
                if (request_.progress(done, all, request_.user) != 0)
                    stop_.request_stop();
            };
    }
    Call(const Call&) = delete;
    Call& operator=(const Call&) = delete;

    const FootprintsView& footprints() const { return footprints_.view(); }
    std::size_t features() const { return footprints_.size(); }
    const RasterView& raster() const { return raster_; }
    const RingPlan& plan() const { return plan_; }
    const BatchOptions& options() const { return options_; }
    const FuelClassTable& classes() const
    {
        return request_.classes->table ? *request_.classes->table : no_classes_;
    }

private:
    /// An older caller's structure is shorter: what it lacks is as in the default.
    static fuelring_request copied(const fuelring_request* asked)
    {
        constexpr std::size_t least = offsetof(fuelring_request, units_per_metre);
        if (!asked)
            refuse("there is no request", "request");
        if (asked->size < least || asked->size > sizeof(fuelring_request))
            refuse("the size is none of a request of this version", "request.size",
                   "begin with fuelring_request_default");
        fuelring_request request = fuelring_request_default();
        std::memcpy(&request, asked, asked->size);
        if (!request.classes)
            refuse("there is no class table", "request.classes");
        if (request.rings > 0 && (!request.outer_m || !request.weight))
            refuse("there are no distances, or no weights", "request.rings");
        if (!(request.units_per_metre >= 0) || std::isinf(request.units_per_metre))
            refuse("the units in a metre are a number above 0", "request.units_per_metre");
        return request;
    }

    static RasterView raster_of(const fuelring_request& request)
    {
        const fuelring_raster& from = request.raster;
        if (!from.data)
            refuse("the raster has no cells", "request.raster");
        if (from.type < FUELRING_UINT8 || from.type > FUELRING_FLOAT64)
            refuse("this is no type of cells", "request.raster.type");
        std::array<double, 6> transform{};
        std::copy_n(from.geotransform, transform.size(), transform.begin());
        RasterView view{from.data, static_cast<CellType>(from.type), from.row_stride,
                        from.col_stride, Grid{transform, from.cols, from.rows}};
        if (from.has_nodata)
            view.nodata = from.nodata;
        view.full_share = request.classes->full_share;
        return view;
    }

    static RingPlan plan_of(const fuelring_request& request)
    {
        if (request.rings == 0)
            return {};
        return {{request.outer_m, request.outer_m + request.rings},
                {request.weight, request.weight + request.rings}};
    }

    fuelring_request request_;
    Footprints footprints_;
    RasterView raster_;
    RingPlan plan_;
    FuelClassTable no_classes_{std::vector<FuelClass>{}};
    std::stop_source stop_;
    BatchOptions options_;
};

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
    const Call call{request};
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
        const Call call{request};
        const double points = priority_surface(call.footprints(), call.raster(), call.classes(),
                                               call.plan(), {values, row_stride}, call.options());
        if (sum)
            *sum = points;
    });
}
