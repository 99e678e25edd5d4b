// SPDX-License-Identifier: Apache-2.0
#include "io/gdal/versions.hpp"

#include <fuelring/version.hpp>

#include <gdal.h>
#include <geos_c.h>
#include <nlohmann/json.hpp>
#include <proj.h>

namespace fuelring {

nlohmann::json program_versions()
{
    const PJ_INFO proj = proj_info();
    return {{"fuelring", version},
            {"gdal", GDALVersionInfo("RELEASE_NAME")},
            {"proj", proj.release},
            {"geos", GEOSversion()}};
}

} // namespace fuelring
