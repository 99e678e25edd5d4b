// SPDX-License-Identifier: Apache-2.0

// Rows of a GeoPackage have numbers from 1 on, as the program wrote them, and an index over them.
// So every n-th row is fetched by its number, without a walk through the others.
#include "io/comparison/structures_sample_in.hpp"

#include "io/gdal/handles.hpp"
#include "io/gdal/open.hpp"

#include <fuelring/error.hpp>

#include <algorithm>

namespace fuelring {

namespace {

/// A layer of an earlier run, looked at here and there.
class SampledLayer {
public:
    SampledLayer(const std::string& geopackage, const char* name)
        : geopackage_(geopackage),
          file_(open_input(geopackage, InputKind::vector, false, "the last run")),
          layer_(GDALDatasetGetLayerByName(file_.get(), name))
    {
        if (!layer_)
            throw wrong(std::string{"no layer "} + name);
    }

    int column(const char* name) const
    {
        const int index = column_or_none(name);
        if (index < 0)
            throw wrong(std::string{"no column "} + name);
        return index;
    }
    int column_or_none(const char* name) const
    {
        return OGR_FD_GetFieldIndex(OGR_L_GetLayerDefn(layer_), name);
    }

    template <typename Visit>
    void visit(std::int64_t at_most, Visit take) const
    {
        const std::int64_t count = OGR_L_GetFeatureCount(layer_, TRUE);
        const std::int64_t wanted = std::min(count, at_most);
        // k * count / wanted rises by at least 1, so no row comes twice.
        for (std::int64_t k = 0; k < wanted; ++k) // rows are numbered from 1
            if (const FeaturePtr f{OGR_L_GetFeature(layer_, 1 + k * count / wanted)})
                take(f.get());
    }

private:
    Error wrong(const std::string& what) const
    {
        return {Failure::input, what, geopackage_, "run fuelring map again"};
    }

    std::string geopackage_;
    DatasetPtr file_;
    OGRLayerH layer_;
};

} // namespace

std::vector<SampledStructure> sample_structures(const std::string& geopackage, std::int64_t at_most)
{
    const SampledLayer layer{geopackage, "structures"};
    const int id = layer.column("structure_id");
    const int lon = layer.column("lon");
    const int lat = layer.column("lat");
    const int neighbourhood = layer.column("neighbourhood");
    const int owner = layer.column_or_none("owner");
    std::vector<SampledStructure> sample;
    layer.visit(at_most, [&](OGRFeatureH f) {
        sample.push_back({OGR_F_GetFieldAsString(f, id), OGR_F_GetFieldAsDouble(f, lon),
                          OGR_F_GetFieldAsDouble(f, lat), OGR_F_GetFieldAsString(f, neighbourhood),
                          owner < 0 ? "" : OGR_F_GetFieldAsString(f, owner)});
    });
    return sample;
}

std::vector<SampledAddress> sample_addresses(const std::string& geopackage, std::int64_t at_most)
{
    const SampledLayer layer{geopackage, "addresses"};
    const int id = layer.column("structure_id");
    const int text = layer.column("address");
    std::vector<SampledAddress> sample;
    layer.visit(at_most, [&](OGRFeatureH f) {
        sample.push_back({OGR_F_GetFieldAsString(f, id), OGR_F_GetFieldAsString(f, text)});
    });
    return sample;
}

} // namespace fuelring
