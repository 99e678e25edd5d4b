// SPDX-License-Identifier: Apache-2.0

// Records of treatments. Polygons of every record, of every treatment and of all of them are
// united by GEOS and sorted into as few maps of ground as their overlaps ask for.
#include "io/comparison/treatment_records_in.hpp"

#include "base/csv_reader.hpp"
#include "io/community/community_findings.hpp"
#include "io/vector/placed_layer.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

#include <algorithm>
#include <cctype>
#include <map>
#include <set>
#include <stdexcept>

namespace fuelring {

namespace {

/// Groups that share less ground than this lie beside each other; it goes to the first of them.
constexpr double beside_m2 = 1e-3;

/// No work costs more; sums of such are finite.
constexpr double largest_cost = 1e12;

/// A group while maps are made.
struct Shape {
    GeosGeometry geometry;
    Box box;
};

class RecordReader {
public:
    RecordReader(const RecordSource& source, const AnalysisGrid& analysis)
        : source_{source}, layer_{"--records",
                                  {.path = source.path, .layer = source.layer, .crs = source.crs},
                                  analysis}
    {
        layer_.require_polygons();
        for (const auto& [name, option] :
             {std::pair{&source.id, "--record-id"}, std::pair{&source.date, "--record-date"},
              std::pair{&source.treatment, "--record-treatment"},
              std::pair{&source.cost, "--record-cost"}})
            // A column that the user names must be there; the usual ones are looked for feature by
            // feature.
            if (!name->empty())
                (void)layer_.column(*name, option); // throws where it is missing
    }

    void read()
    {
        layer_.for_each([&](const OGRFeature& feature) { take(feature); });
        if (records.empty())
            throw layer_.wrong("the layer has no treated polygons", "check --records-layer");
    }

    LayerCrs layer_crs() const { return layer_.layer_crs(); }

    std::vector<TreatmentRecord> records;
    std::vector<std::vector<RawPolygon>> polygons; ///< by record, clean, units of the grid
    Finding empty, repaired;

private:
    void take(const OGRFeature& feature)
    {
        const std::string fid = std::to_string(feature.GetFID());
        const std::vector<RawPolygon> raw = layer_.polygons_on_grid(feature);
        bool was_repaired = false;
        // United by itself, so that what its own parts share counts once.
        std::vector<RawPolygon> clean = layer_.shaping(feature, "repair the polygon", [&] {
            const GeosGeometry united = geos_union(raw, was_repaired);
            return united ? polygons_of(united.get()) : std::vector<RawPolygon>{};
        });
        if (was_repaired)
            repaired.add(fid);
        if (clean.empty()) {
            empty.add(fid);
            return;
        }
        TreatmentRecord record;
        record.id = text(feature, source_.id, nullptr);
        if (record.id.empty())
            record.id = fid;
        if (!ids_.insert(record.id).second)
            throw layer_.wrong_feature(feature,
                                       fmt::format("the record id '{}' appears twice", record.id),
                                       "correct it, or leave --record-id out to use feature ids");
        record.date = text(feature, source_.date, "date");
        std::replace(record.date.begin(), record.date.end(), '/', '-');
        record.treatment = text(feature, source_.treatment, "treatment");
        record.cost = cost(feature);
        records.push_back(std::move(record));
        polygons.push_back(std::move(clean));
    }

    /// -1 where neither the named column nor the usual one is there.
    static int column_of(const OGRFeature& feature, const std::string& named, const char* usual)
    {
        const char* name = named.empty() ? usual : named.c_str();
        return name ? feature.GetDefnRef()->GetFieldIndex(name) : -1;
    }

    std::string text(const OGRFeature& feature, const std::string& named, const char* usual) const
    {
        const int column = column_of(feature, named, usual);
        return column < 0 ? std::string{} : layer_.text_of(feature, column).value_or("");
    }

    std::optional<double> cost(const OGRFeature& feature) const
    {
        const int column = column_of(feature, source_.cost, "cost");
        const auto written = column < 0 ? std::nullopt : layer_.text_of(feature, column);
        if (!written)
            return std::nullopt;
        double value = 0;
        // A text is read by our own rules: OGR would take "12 000" for 12.
        if (feature.GetFieldDefnRef(column)->GetType() != OFTString) {
            value = feature.GetFieldAsDouble(column);
        } else {
            value = number_in<double>(*written).value_or(-1);
        }
        if (!(value >= 0 && value <= largest_cost)) // NaN is neither
            throw layer_.wrong_feature(
                feature, fmt::format("the cost '{}' is not an amount of money", *written),
                "give a plain number, or leave the cell empty");
        return value;
    }

    const RecordSource& source_;
    PlacedLayer layer_;
    std::set<std::string> ids_;
};

std::vector<RecordGroup> groups_of(const std::vector<TreatmentRecord>& records)
{
    std::vector<RecordGroup> groups;
    std::map<std::string, std::vector<std::size_t>> treatments;
    RecordGroup total;
    RecordGroup outside{RecordGroup::Scope::outside, {}, {}, {}, 0};
    for (std::size_t r = 0; r < records.size(); ++r) {
        const std::string& name = records[r].treatment;
        groups.push_back({RecordGroup::Scope::record, name, {r}, {}, 0});
        if (records[r].outside_dates) {
            outside.records.push_back(r);
            continue;
        }
        treatments[name.empty() ? no_treatment : name].push_back(r);
        total.records.push_back(r);
    }
    for (auto& [name, list] : treatments)
        groups.push_back({RecordGroup::Scope::treatment, name, std::move(list), {}, 0});
    if (!outside.records.empty())
        groups.push_back(std::move(outside));
    groups.push_back(std::move(total));
    return groups;
}

/// Unites the polygons of a group; fills in its ground.
Shape shape_of(RecordGroup& group, const RecordReader& reader, const AnalysisGrid& analysis)
{
    if (group.records.empty())
        return {};
    std::vector<RawPolygon> all;
    for (const std::size_t r : group.records)
        all.insert(all.end(), reader.polygons[r].begin(), reader.polygons[r].end());
    bool repaired = false;
    Shape shape{geos_union(all, repaired), {}};
    const std::vector<RawPolygon> united = polygons_of(shape.geometry.get());
    group.ground = footprint_of(united);
    group.ground_m2 = ground_m2(united, analysis);
    shape.box = bounds(group.ground);
    return shape;
}

/// Every group goes into the first layer where it overlaps none.
std::vector<std::vector<std::size_t>> layers_of(const std::vector<Shape>& shapes)
{
    std::vector<std::vector<std::size_t>> layers;
    const auto free_of = [&shapes](const std::vector<std::size_t>& layer, std::size_t g) {
        return std::none_of(layer.begin(), layer.end(), [&](std::size_t other) {
            return shapes[g].box.meets(shapes[other].box) &&
                   shared_area(shapes[g].geometry.get(), shapes[other].geometry.get()) > beside_m2;
        });
    };
    // Groups come by number, so the layers depend on the records alone.
    for (std::size_t g = 0; g < shapes.size(); ++g) {
        if (!shapes[g].geometry)
            continue; // all records lie outside the dates
        const auto layer = std::find_if(layers.begin(), layers.end(),
                                        [&](const auto& list) { return free_of(list, g); });
        if (layer != layers.end())
            layer->push_back(g);
        else
            layers.push_back({g});
    }
    return layers;
}

TreatedLayer map_of(const std::vector<std::size_t>& numbers, const std::vector<RecordGroup>& groups)
{
    TreatedLayer layer;
    layer.group = numbers;
    layer.box = bounds(groups[numbers.front()].ground);
    std::vector<Footprint> grounds;
    for (const std::size_t g : numbers) {
        const Footprint& ground = grounds.emplace_back(groups[g].ground);
        const Box box = bounds(ground);
        layer.box = {{std::min(layer.box.min.x, box.min.x), std::min(layer.box.min.y, box.min.y)},
                     {std::max(layer.box.max.x, box.max.x), std::max(layer.box.max.y, box.max.y)}};
    }
    layer.places = map_of_places(grounds);
    return layer;
}

} // namespace

bool is_day(const std::string& text)
{
    constexpr std::string_view shape{"dddd-dd-dd"};
    return text.size() == shape.size() &&
           std::equal(text.begin(), text.end(), shape.begin(), [](char c, char form) {
               return form == 'd' ? std::isdigit(static_cast<unsigned char>(c)) != 0 : c == form;
           });
}

bool DateSpan::leaves_out(const std::string& date) const
{
    return is_day(date) && ((!from.empty() && date < from) || (!until.empty() && date > until));
}

TreatmentRecords read_treatment_records(const RecordSource& source, const DateSpan& dates,
                                        const AnalysisGrid& analysis, Warnings& warnings)
{
    RecordReader reader{source, analysis};
    reader.read();
    for (TreatmentRecord& record : reader.records)
        record.outside_dates = dates.leaves_out(record.date);
    reader.empty.report(warnings, "empty_records", "records enclose no area and are left out");
    reader.repaired.report(warnings, "repaired_records",
                           "records cross themselves and were repaired (even-odd)");
    TreatmentRecords result;
    result.groups = groups_of(reader.records);
    std::vector<Shape> shapes;
    for (RecordGroup& group : result.groups)
        shapes.push_back(shape_of(group, reader, analysis));
    result.ground.groups = result.groups.size();
    for (const std::vector<std::size_t>& numbers : layers_of(shapes))
        result.ground.layers.push_back(map_of(numbers, result.groups));
    result.layer = reader.layer_crs();
    result.records = std::move(reader.records);
    return result;
}

} // namespace fuelring
