// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/closed_by.hpp"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <cpl_vsi.h>
#include <gdal.h>
#include <ogr_api.h>
#include <ogr_srs_api.h>

#include <memory>
#include <type_traits>

namespace fuelring {

// GDAL's C handles, owned from the line they are born. The deleters only clean up: who wrote a
// dataset closes it inside a GdalErrors (errors.hpp) and looks at its failures, since GDALClose
// returns nothing before 3.7.
template <typename Handle, auto close>
using GdalPtr = std::unique_ptr<std::remove_pointer_t<Handle>, ClosedBy<close>>;

using DatasetPtr = GdalPtr<GDALDatasetH, GDALClose>;
using FeaturePtr = GdalPtr<OGRFeatureH, OGR_F_Destroy>;
using FieldDefnPtr = GdalPtr<OGRFieldDefnH, OGR_Fld_Destroy>;
using GeometryPtr = GdalPtr<OGRGeometryH, OGR_G_DestroyGeometry>;
using SrsPtr = GdalPtr<OGRSpatialReferenceH, OSRRelease>; ///< gives back one reference
using TransformPtr = GdalPtr<OGRCoordinateTransformationH, OCTDestroyCoordinateTransformation>;
using CslPtr = GdalPtr<char**, CSLDestroy>; ///< a list of texts NAME=VALUE
using CplTextPtr = GdalPtr<char*, VSIFree>; ///< such as a WKT
using VsiFilePtr = GdalPtr<VSILFILE*, VSIFCloseL>;
static_assert(sizeof(DatasetPtr) == sizeof(GDALDatasetH));

} // namespace fuelring
