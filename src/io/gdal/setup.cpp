// SPDX-License-Identifier: Apache-2.0

// GDAL is told here, once, what it may do: which settings stand whatever the environment says,
// which ones the environment may set, and that nothing is fetched unless inputs are allowed to be
// remote.
#include "io/gdal/setup.hpp"

#include "base/redact.hpp"
#include "io/gdal/errors.hpp"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_http.h>
#include <cpl_string.h>
#include <gdal.h>
#include <ogr_srs_api.h>

#include <algorithm>
#include <cctype>

namespace fuelring {

namespace {

/// GDAL keeps the last message of each thread itself, where the thrower of an Error finds it.
/// Called from any thread; must throw nothing through C code.
void CPL_STDCALL keep_quiet(CPLErr level, CPLErrorNum number, const char* text)
{
    end_if_fatal(level, text);
    if (level != CE_Debug)
        return;
    try {
        CPLDefaultErrorHandler(level, number, redacted(text).c_str());
    } catch (...) { // out of memory: one trace less
        return;
    }
}

CPLHTTPResult* nothing_fetched(const char* url)
{
    CPLError(CE_Failure, CPLE_HttpResponse, "not fetched without run.remote_inputs: %s", url);
    auto* result = static_cast<CPLHTTPResult*>(CPLCalloc(1, sizeof(CPLHTTPResult)));
    result->nStatus = 1;
    result->pszErrBuf = CPLStrdup("not fetched without run.remote_inputs");
    return result;
}

/// In the place of GDAL's own: a GeoJSON may name a CRS by a URL, a view may ask a geocoder.
CPLHTTPResult* fetch_nothing(const char* url, CSLConstList, GDALProgressFunc, void*,
                             CPLHTTPFetchWriteFunc, void*, void*)
{
    return nothing_fetched(url);
}

} // namespace

void set_up_gdal()
{
    CPLSetErrorHandler(keep_quiet);
    GDALAllRegister(); // reads GDAL's configuration files, which must not undo what follows
    CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");
    CPLSetConfigOption("GDAL_VRT_ENABLE_PYTHON", "NO");
    OSRSetPROJEnableNetwork(0);
    for (const HttpDefault& d : http_defaults)
        if (!CPLGetConfigOption(d.name, nullptr))
            CPLSetConfigOption(d.name, d.value);
    admit_remote_inputs(false);
}

void admit_remote_inputs(bool admit)
{
    CPLHTTPSetFetchCallback(admit ? nullptr : fetch_nothing, nullptr);
    // No file has this extension, so that none may be read from anywhere.
    CPLSetConfigOption("CPL_VSIL_CURL_ALLOWED_EXTENSIONS", admit ? nullptr : ".none_is_allowed");
}

RefusedFetch::RefusedFetch()
{
    CPLHTTPPushFetchCallback(
        [](const char* url, CSLConstList, GDALProgressFunc, void*, CPLHTTPFetchWriteFunc, void*,
           void* self) {
            static_cast<RefusedFetch*>(self)->url_ = url;
            return nothing_fetched(url);
        },
        this);
}

RefusedFetch::~RefusedFetch()
{
    CPLHTTPPopFetchCallback();
}

void bound_block_cache(std::size_t bytes)
{
    if (!CPLGetConfigOption("GDAL_CACHEMAX", nullptr)) // an operator's own choice stands
        GDALSetCacheMax64(static_cast<GIntBig>(bytes));
}

bool is_connection_string(const std::string& path)
{
    if (path.starts_with("/vsi") || path.starts_with("<") || path.find("://") != path.npos)
        return true;
    const std::size_t colon = path.find(':');
    const auto is_prefix = [](unsigned char c) { return std::isalnum(c) || c == '_'; };
    return colon != path.npos && colon >= 2 &&
           std::all_of(path.begin(), path.begin() + static_cast<std::ptrdiff_t>(colon), is_prefix);
}

} // namespace fuelring
