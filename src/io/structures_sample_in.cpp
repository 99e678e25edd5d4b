// SPDX-License-Identifier: Apache-2.0
#include "io/structures_sample_in.hpp"

#include "io/gdal_handles.hpp"
#include "io/gdal_open.hpp"

#include <fuelring/error.hpp>

#include <algorithm>

namespace fuelring {

std::vector<SampledStructure> sample_structures(const std::string& geopackage, std::int64_t at_most)
{
    const DatasetPtr file = open_input(geopackage, InputKind::vector, false, "the last run");
    OGRLayerH layer = GDALDatasetGetLayerByName(file.get(), "structures");
    if (!layer)
        throw Error{Failure::input, "no layer structures", geopackage, "run fuelring map again"};
    OGRFeatureDefnH columns = OGR_L_GetLayerDefn(layer);
    const int id = OGR_FD_GetFieldIndex(columns, "structure_id");
    const int lon = OGR_FD_GetFieldIndex(columns, "lon");
    const int lat = OGR_FD_GetFieldIndex(columns, "lat");
    if (id < 0 || lon < 0 || lat < 0)
        throw Error{Failure::input, "no columns structure_id, lon, lat", geopackage,
                    "run fuelring map again"};
    const std::int64_t count = OGR_L_GetFeatureCount(layer, TRUE);
    const std::int64_t wanted = std::min(count, at_most);
    std::vector<SampledStructure> sample;
    for (std::int64_t k = 0; k < wanted; ++k)
        if (const FeaturePtr f{OGR_L_GetFeature(layer, 1 + k * count / wanted)}) // numbered from 1
            sample.push_back({OGR_F_GetFieldAsString(f.get(), id),
                              OGR_F_GetFieldAsDouble(f.get(), lon),
                              OGR_F_GetFieldAsDouble(f.get(), lat)});
    return sample;
}

} // namespace fuelring
