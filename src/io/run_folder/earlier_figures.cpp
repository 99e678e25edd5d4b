// SPDX-License-Identifier: Apache-2.0
#include "io/run_folder/earlier_figures.hpp"

#include "io/vector/vector_layer.hpp"

#include <ogr_feature.h>

#include <cmath>

namespace fuelring {

namespace {

constexpr const char* earlier_tables = "the earlier run's tables";

/// Columns of one ring.
struct RingColumns {
    int ring_m2;
    int conifer_m2;
    int unmapped_frac;
};

void add_near(const OGRFeature& feature, const std::vector<RingColumns>& rings,
              EarlierFigures& figures)
{
    figures.near_unmapped_m2 = 0;
    figures.near_conifer_m2 = rings.empty() ? std::nullopt : std::optional{0.0};
    for (const RingColumns& ring : rings) {
        figures.near_unmapped_m2 += number_of(feature, ring.unmapped_frac).value_or(0) *
                                    number_of(feature, ring.ring_m2).value_or(0);
        const std::optional<double> conifer = number_of(feature, ring.conifer_m2);
        if (conifer && figures.near_conifer_m2)
            *figures.near_conifer_m2 += *conifer;
        else
            figures.near_conifer_m2.reset();
    }
}

} // namespace

void read_earlier_figures(const std::string& geopackage, const std::vector<std::string>& near_rings,
                          const std::function<void(const EarlierFigures&)>& visit)
{
    VectorLayer layer{earlier_tables, {.path = geopackage, .layer = "structures"}};
    std::vector<int> needed;
    const auto column = [&](const std::string& name) {
        needed.push_back(layer.column(name, name));
        return needed.back();
    };
    const int id = column("structure_id");
    const int neighbourhood = column("neighbourhood");
    const int exposure = column("exposure");
    const int nearest = column("nearest_conifer_m");
    const int rank = column("rank");
    std::vector<RingColumns> rings;
    for (const std::string& label : near_rings) {
        const int ring = column("ring_m2_" + label);
        const int conifer = column("conifer_m2_" + label);
        rings.push_back({ring, conifer, column("unmapped_frac_" + label)});
    }
    layer.select(needed, false);
    EarlierFigures figures;
    layer.for_each([&](const OGRFeature& feature) {
        figures.structure_id = text_of(feature, id).value_or("");
        figures.neighbourhood = text_of(feature, neighbourhood).value_or("");
        figures.exposure = number_of(feature, exposure);
        figures.nearest_conifer_m = number_of(feature, nearest);
        figures.rank.reset();
        if (const auto r = number_of(feature, rank))
            figures.rank = std::llround(*r);
        add_near(feature, rings, figures);
        visit(figures);
    });
}

void read_earlier_addresses(
    const std::string& geopackage,
    const std::function<void(const std::string& structure_id, const std::string& address)>& visit)
{
    VectorLayer layer{earlier_tables, {.path = geopackage, .layer = "addresses"}};
    const int id = layer.column("structure_id", "structure_id");
    const int address = layer.column("address", "address");
    layer.select({id, address}, false);
    layer.for_each([&](const OGRFeature& feature) {
        visit(text_of(feature, id).value_or(""), text_of(feature, address).value_or(""));
    });
}

} // namespace fuelring
