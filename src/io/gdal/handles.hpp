// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cpl_conv.h>
#include <cpl_string.h>
#include <cpl_vsi.h>
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include <memory>
#include <type_traits>

namespace fuelring {

// GDAL's C handles, owned from the line they are born. The deleters are stateless, so a pointer
// is as small as the handle. They only clean up: who wrote a dataset closes it inside a GdalErrors
// (gdal_errors.hpp) and looks at its failures, since GDALClose returns nothing before 3.7.

struct DatasetClose {
    void operator()(GDALDatasetH h) const noexcept { GDALClose(h); }
};
using DatasetPtr = std::unique_ptr<void, DatasetClose>;
static_assert(sizeof(DatasetPtr) == sizeof(GDALDatasetH));

struct FeatureDestroy {
    void operator()(OGRFeatureH h) const noexcept { OGR_F_Destroy(h); }
};
using FeaturePtr = std::unique_ptr<std::remove_pointer_t<OGRFeatureH>, FeatureDestroy>;

struct FieldDefnDestroy {
    void operator()(OGRFieldDefnH h) const noexcept { OGR_Fld_Destroy(h); }
};
using FieldDefnPtr = std::unique_ptr<std::remove_pointer_t<OGRFieldDefnH>, FieldDefnDestroy>;

struct GeometryDestroy {
    void operator()(OGRGeometryH h) const noexcept { OGR_G_DestroyGeometry(h); }
};
using GeometryPtr = std::unique_ptr<std::remove_pointer_t<OGRGeometryH>, GeometryDestroy>;

/// A reference counted SRS: gives back one reference.
struct SrsRelease {
    void operator()(OGRSpatialReferenceH h) const noexcept { OSRRelease(h); }
};
using SrsPtr = std::unique_ptr<std::remove_pointer_t<OGRSpatialReferenceH>, SrsRelease>;

struct TransformDestroy {
    void operator()(OGRCoordinateTransformationH h) const noexcept
    {
        OCTDestroyCoordinateTransformation(h);
    }
};
using TransformPtr =
    std::unique_ptr<std::remove_pointer_t<OGRCoordinateTransformationH>, TransformDestroy>;

/// A list of texts NAME=VALUE.
struct CslDestroy {
    void operator()(char** list) const noexcept { CSLDestroy(list); }
};
using CslPtr = std::unique_ptr<char*, CslDestroy>;

/// Memory that GDAL allocated (WKT texts, VSIGetMemFileBuffer with ownership).
struct VsiFree {
    void operator()(void* p) const noexcept { VSIFree(p); }
};
using CplTextPtr = std::unique_ptr<char, VsiFree>;

} // namespace fuelring
