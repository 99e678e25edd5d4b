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
void look_at_layer(const std::string& key, const LayerSource& source, bool of_polygons,
                   const std::vector<NamedColumn>& named)
{
    const bool is_table = key == "inputs.corrections";
    VectorLayer layer{key, source, is_table ? CrsNeed::may_lack : CrsNeed::required};
    if (of_polygons)
        layer.require_polygons();
    std::vector<int> columns;
    for (const NamedColumn& n : named)
        columns.push_back(layer.column(n.column, n.key));
    layer.select(columns);
    layer.for_each([&](const OGRFeature& feature) {
        for (const int column : columns)
            layer.text_of(feature, column);
    });
}

std::vector<NamedColumn> columns_of(const AddressSource& source)
{
    std::vector<NamedColumn> named{{source.text, "text"}};
    for (const std::string& column : source.more_text)
        named.push_back({column, "text"});
    if (!source.x.empty()) {
        named.push_back({source.x, "x"});
        named.push_back({source.y, "y"});
    }
    return named;
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
    attempt_layer(s.path, faults, [&] { look_at_layer("inputs.structures", s, true, named); });
}

void look_at_other_layers(const CommunitySources& sources,
                          const std::optional<CorrectionSource>& corrections, FaultList& faults)
{
    const auto look = [&faults](const char* key, const LayerSource& source, bool of_polygons,
                                const std::vector<NamedColumn>& named) {
        attempt_layer(source.path, faults, [&] { look_at_layer(key, source, of_polygons, named); });
    };
    if (const auto& s = sources.addresses)
        look("inputs.addresses", *s, false, columns_of(*s));
    if (const auto& s = sources.neighbourhoods)
        look("inputs.neighbourhoods", *s, true, {{s->name, "name"}});
    if (const auto& s = sources.parcels)
        look("inputs.parcels", *s, true, {{s->owner, "owner"}});
    if (const auto& s = corrections)
        look("inputs.corrections", *s, false,
             {{s->kind, "kind"}, {s->date, "date"}, {s->initials, "initials"}});
}

} // namespace fuelring
