// SPDX-License-Identifier: Apache-2.0
#include "batch/c_request.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

namespace fuelring::batch {

namespace {

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

/// An older caller's structure is shorter: what it lacks is as in the default.
fuelring_request copied(const fuelring_request* asked)
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

RasterView raster_of(const fuelring_request& request)
{
    const fuelring_raster& from = request.raster;
    if (!from.data)
        refuse("the raster has no cells", "request.raster");
    if (from.type < FUELRING_UINT8 || from.type > FUELRING_FLOAT64)
        refuse("this is no type of cells", "request.raster.type");
    std::array<double, 6> transform{};
    std::copy_n(from.geotransform, transform.size(), transform.begin());
    RasterView view{from.data, static_cast<CellType>(from.type), from.row_stride, from.col_stride,
                    Grid{transform, from.cols, from.rows}};
    if (from.has_nodata)
        view.nodata = from.nodata;
    view.full_share = request.classes->full_share;
    return view;
}

RingPlan plan_of(const fuelring_request& request)
{
    if (request.rings == 0)
        return {};
    return {{request.outer_m, request.outer_m + request.rings},
            {request.weight, request.weight + request.rings}};
}

} // namespace

CFootprints::CFootprints(const fuelring_footprints& from)
{
    if (from.wkb || from.wkb_offsets.count > 0)
        take_wkb(from);
    else
        take_layout(from);
}

void CFootprints::take_wkb(const fuelring_footprints& from)
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

void CFootprints::take_layout(const fuelring_footprints& from)
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

CRequest::CRequest(const fuelring_request* asked)
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

} // namespace fuelring::batch
