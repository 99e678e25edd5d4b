// SPDX-License-Identifier: Apache-2.0

// Layers on their own: where the raster or the structures cannot be read, the others are looked at
// as far as can be, so that all that is wrong is told in one run.
#include "io/community/community_in.hpp"
#include "io/community/community_parts.hpp"
#include "io/gdal/setup.hpp"
#include "io/vector/vector_layer.hpp"

namespace fuelring {

namespace {

/// A column that the configuration names, and its word for it.
struct NamedColumn {
    std::string column, key;
};

/// Opens, filters and reads a layer. Throws: Error{input} and Error{usage}, as reading it would.
void look_at_layer(LayerRequest request, bool of_polygons, const std::vector<NamedColumn>& named,
                   const std::string& where)
{
    VectorLayer layer{std::move(request)};
    if (of_polygons)
        layer.require_polygons();
    std::vector<int> columns;
    for (const NamedColumn& n : named)
        columns.push_back(layer.column(n.column, n.key));
    layer.filter(where, "where");
    if (where.empty())
        layer.read_only_columns(columns);
    layer.for_each([&](const OGRFeature& feature) {
        for (const int column : columns)
            layer.text_of(feature, column);
    });
}

} // namespace

bool attempt_layer(const std::string& path, FaultList& faults, const std::function<void()>& read)
{
    if (!faults.empty() && is_connection_string(path))
        return false;
    return faults.attempt(read);
}

void look_at_structures(const StructureSource& s, FaultList& faults)
{
    std::vector<NamedColumn> named;
    if (!s.id.empty())
        named.push_back({s.id, "id"});
    for (const std::string& attribute : s.attributes)
        named.push_back({attribute, "attributes"});
    attempt_layer(s.path, faults, [&] {
        look_at_layer(
            {"inputs.structures", s.path, s.layer, s.crs, s.remote_allowed, false, s.encoding},
            true, named, s.where);
    });
}

void look_at_other_layers(const CommunitySources& sources,
                          const std::optional<CorrectionSource>& corrections, FaultList& faults)
{
    if (const auto& s = sources.addresses)
        attempt_layer(s->path, faults, [&] {
            look_at_layer({"inputs.addresses", s->path, s->layer, s->crs, s->remote_allowed, false,
                           s->encoding},
                          false, {{s->text, "text"}}, "");
        });
    if (const auto& s = sources.neighbourhoods)
        attempt_layer(s->path, faults, [&] {
            look_at_layer({"inputs.neighbourhoods", s->path, s->layer, s->crs, s->remote_allowed,
                           false, s->encoding},
                          true, {{s->name, "name"}}, "");
        });
    if (const auto& s = sources.parcels)
        attempt_layer(s->path, faults, [&] {
            look_at_layer({"inputs.parcels", s->path, s->layer, s->crs, s->remote_allowed, false,
                           s->encoding},
                          true, {{s->owner, "owner"}}, s->where);
        });
    if (const auto& s = corrections)
        attempt_layer(s->path, faults, [&] {
            look_at_layer({"inputs.corrections", s->path, s->layer, s->crs, s->remote_allowed, true,
                           s->encoding},
                          false, {{s->kind, "kind"}, {s->date, "date"}, {s->initials, "initials"}},
                          "");
        });
}

} // namespace fuelring
