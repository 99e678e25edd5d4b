// SPDX-License-Identifier: Apache-2.0

// Footprints become structures: placed, put into a frame of their own near their lower left corner,
// scaled to the ground in their middle, repaired where they cross themselves, and measured. Then
// they are sorted by id, so that nothing that follows depends on the order of the file, and looked
// at together: whether any is on the raster, on the ground at all, twice there, or far from the
// rest.
#include "base/csv_reader.hpp"
#include "io/community/community_findings.hpp"
#include "io/community/community_parts.hpp"
#include "io/georeference/geotransform.hpp"
#include "io/vector/feature_condition.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numeric>
#include <stdexcept>
#include <string_view>
#include <utility>
#include <vector>

namespace fuelring {

namespace {

constexpr const char* use_feature_ids =
    "name a column of unique ids, or leave inputs.structures.id out to use feature ids";

/// What happened to the outlines of a layer.
struct OutlineFindings {
    Finding empty, below_min_area, repaired, duplicate, other_parts, off_raster, no_people;

    void report(Warnings& warnings) const
    {
        empty.report(warnings, "empty_outlines", "outlines enclose no area and are left out");
        below_min_area.report(warnings, "below_min_area",
                              "structures are smaller than min_area_m2 and are left out");
        repaired.report(warnings, "repaired_outlines",
                        "outlines cross themselves and were repaired (even-odd)");
        duplicate.report(warnings, "duplicate_outlines", "structures have identical outlines");
        other_parts.report(
            warnings, "parts_not_polygons",
            "features have points or lines as well as polygons; the points and lines are left out");
        off_raster.report(warnings, "structures_off_raster",
                          "structures are outside the fuel raster: the land around is unmapped");
        no_people.report(warnings, "people_unknown",
                         "homes do not say how many people live there and are left out of sums");
    }
};

/// Ids as they come, so that all clashes can be told at once. In one block of memory that goes
/// back to the system: small pieces between those of the outlines would stay behind as holes.
class IdRegister {
public:
    void add(const std::optional<std::string>& id, std::int64_t fid)
    {
        if (id)
            ids_.push_back({*id, fid});
        else
            nameless_.add(std::to_string(fid));
    }

    void require_unique(const VectorLayer& layer, const std::string& column)
    {
        find_repeated();
        if (nameless_.count() > 0)
            throw layer.wrong(fmt::format("{} features have no id in column {} (features {}{})",
                                          nameless_.count(), column,
                                          fmt::join(nameless_.examples(), ", "), more(nameless_)),
                              use_feature_ids);
        if (repeated_.count() > 0)
            throw layer.wrong(fmt::format("{} ids in column {} are repeated: {}{}",
                                          repeated_.count(), column,
                                          fmt::join(repeated_.examples(), ", "), more(repeated_)),
                              use_feature_ids);
    }

private:
    static const char* more(const Finding& finding)
    {
        return static_cast<std::size_t>(finding.count()) > finding.examples().size() ? ", ..." : "";
    }

    struct Id {
        std::string text;
        std::int64_t fid;
    };

    /// Every id that an earlier feature has, in the order of the file.
    void find_repeated()
    {
        std::vector<std::uint32_t> order(ids_.size());
        std::iota(order.begin(), order.end(), 0U);
        // Numbers are sorted, not texts: a stable sort keeps equal ids in the order of the file.
        std::stable_sort(order.begin(), order.end(), [this](std::uint32_t a, std::uint32_t b) {
            return ids_[a].text < ids_[b].text;
        });
        std::vector<std::pair<std::uint32_t, std::uint32_t>> repeated; // and the first to have it
        for (std::size_t k = 1, first = 0; k < order.size(); ++k)
            if (ids_[order[k]].text == ids_[order[first]].text)
                repeated.emplace_back(order[k], order[first]);
            else
                first = k;
        std::sort(repeated.begin(), repeated.end());
        for (const auto& [again, first] : repeated)
            repeated_.add(fmt::format("'{}' in features {} and {}", ids_[again].text,
                                      ids_[first].fid, ids_[again].fid));
        ids_ = {};
    }

    std::vector<Id> ids_;
    Finding nameless_, repeated_;
};

/// Reads one feature after the other into structures.
class StructureReader {
public:
    StructureReader(const StructureSource& source, const AnalysisGrid& analysis)
        : source_{source}, layer_{"inputs.structures", source, analysis}
    {
        layer_.require_polygons();
        if (!source.id.empty())
            id_column_ = layer_.column(source.id, "id");
        for (const std::string& attribute : source.attributes)
            attribute_columns_.push_back(layer_.column(attribute, "attributes"));
        std::vector<int> needed = attribute_columns_;
        if (id_column_)
            needed.push_back(*id_column_);
        if (!source.homes.empty()) {
            homes_.emplace(layer_, source.homes, "homes");
            needed.insert(needed.end(), homes_->columns().begin(), homes_->columns().end());
        }
        if (!source.people.empty())
            needed.push_back(people_column_.emplace(layer_.column(source.people, "people")));
        layer_.select(needed);
    }

    std::vector<Structure> read(OutlineFindings& findings)
    {
        layer_.for_each([&](const OGRFeature& feature) { take(feature, findings); });
        ids_.require_unique(layer_, source_.id);
        if (structures_.empty())
            throw layer_.wrong(
                fmt::format("no structure is left of {} features: {} without area, {} below "
                            "min_area_m2",
                            features_, findings.empty.count(), findings.below_min_area.count()),
                "check inputs.structures.layer, where and min_area_m2");
        return std::move(structures_);
    }

    const PlacedLayer& layer() const { return layer_; }

private:
    void take(const OGRFeature& feature, OutlineFindings& findings)
    {
        ++features_;
        const std::int64_t fid = feature.GetFID();
        const std::optional<std::string> id =
            id_column_ ? layer_.text_of(feature, *id_column_) : std::to_string(fid);
        ids_.add(id, fid);
        RawOutline raw = layer_.outline_of(feature);
        if (raw.other_parts > 0)
            findings.other_parts.add(id.value_or(""));
        Structure structure;
        structure.id = id.value_or("");
        for (const int column : attribute_columns_)
            structure.attributes.push_back(layer_.text_of(feature, column).value_or(""));
        structure.home = !homes_ || homes_->holds(feature);
        if (people_column_)
            structure.people = people_in(feature);
        if (!outline(raw.polygons, structure, feature))
            findings.empty.add(structure.id);
        else if (structure.footprint_m2 < source_.min_area_m2)
            findings.below_min_area.add(structure.id);
        else
            structures_.push_back(std::move(structure));
    }

    /// Throws: Error{input} naming the feature for what is no number of people.
    std::optional<double> people_in(const OGRFeature& feature) const
    {
        constexpr double most_people = 1e6;
        const auto written = layer_.text_of(feature, *people_column_);
        if (!written)
            return std::nullopt;
        const bool is_text = feature.GetFieldDefnRef(*people_column_)->GetType() == OFTString;
        const double people = is_text ? number_in<double>(*written).value_or(-1)
                                      : feature.GetFieldAsDouble(*people_column_);
        if (!(people >= 0 && people <= most_people)) // NaN is neither
            throw layer_.wrong_feature(feature,
                                       fmt::format("'{}' is no number of people", *written),
                                       "give a number from 0 on, or leave the cell empty");
        return people;
    }

    bool outline(std::vector<RawPolygon>& polygons, Structure& structure,
                 const OGRFeature& feature) const
    {
        if (polygons.empty())
            return false;
        const AnalysisGrid& analysis = layer_.analysis();
        structure.frame = frame_of(polygons, analysis.grid);
        structure.map_scale = analysis.ground.at(middle_of(polygons));
        const Grid ground = analysis.grid.at_scale(structure.map_scale);
        to_local(polygons, structure.frame, ground);
        return layer_.shaping(feature, "repair the outline, or filter it out", [&] {
            RepairedFootprint clean = repaired(polygons);
            if (clean.footprint.loops.empty())
                return false;
            structure.footprint = std::move(clean.footprint);
            structure.footprint_m2 = area_m2(structure.footprint);
            structure.repaired_outline = clean.crossed_parts > 0;
            structure.inside = ground.to_map(structure.frame, clean.inside);
            return true;
        });
    }

    const StructureSource& source_;
    PlacedLayer layer_;
    std::optional<int> id_column_;
    std::vector<int> attribute_columns_;
    std::optional<FeatureCondition> homes_;
    std::optional<int> people_column_;
    IdRegister ids_;
    std::int64_t features_ = 0;
    std::vector<Structure> structures_;
};

/// Loops as they would stand if every file began and listed them alike.
std::vector<Loop> canonical(const Footprint& footprint)
{
    const auto before = [](Point a, Point b) { return a.x != b.x ? a.x < b.x : a.y < b.y; };
    std::vector<Loop> loops = footprint.loops;
    for (Loop& loop : loops)
        std::rotate(loop.begin(), std::min_element(loop.begin(), loop.end(), before), loop.end());
    std::sort(loops.begin(), loops.end(), [&](const Loop& a, const Loop& b) {
        return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(), before);
    });
    return loops;
}

std::size_t hash_of(const Structure& structure, const std::vector<Loop>& loops)
{
    std::string bytes;
    const auto append = [&](const auto& value) {
        const std::size_t at = bytes.size();
        bytes.resize(at + sizeof(value));
        std::memcpy(bytes.data() + at, &value, sizeof(value));
    };
    append(structure.frame.col);
    append(structure.frame.row);
    for (const Loop& loop : loops)
        for (const Point p : loop) {
            append(p.x + 0.0); // -0 equals 0 and must hash like it
            append(p.y + 0.0);
        }
    return std::hash<std::string>{}(bytes);
}

void flag_duplicates(std::vector<Structure>& structures)
{
    std::vector<std::pair<std::size_t, std::uint32_t>> by_hash;
    by_hash.reserve(structures.size());
    for (std::size_t k = 0; k < structures.size(); ++k)
        by_hash.emplace_back(hash_of(structures[k], canonical(structures[k].footprint)),
                             static_cast<std::uint32_t>(k));
    std::sort(by_hash.begin(), by_hash.end());
    // Equal hashes only make neighbours of likely twins; the outlines themselves decide.
    for (std::size_t k = 1; k < by_hash.size(); ++k) {
        Structure& later = structures[by_hash[k].second];
        for (std::size_t j = k; j > 0 && by_hash[j - 1].first == by_hash[k].first; --j) {
            Structure& earlier = structures[by_hash[j - 1].second];
            if (earlier.frame.col == later.frame.col && earlier.frame.row == later.frame.row &&
                canonical(earlier.footprint) == canonical(later.footprint)) {
                earlier.duplicate_outline = later.duplicate_outline = true;
                break; // the others are marked with the earlier one
            }
        }
    }
}

void require_on_raster(const StructureReader& reader, const std::vector<Structure>& structures,
                       const AnalysisGrid& analysis, OutlineFindings& findings)
{
    Box everywhere = Box::nothing();
    bool any = false;
    for (const Structure& structure : structures) {
        const CellRect cells = analysis.grid.at_scale(structure.map_scale)
                                   .cells_of(structure.frame, bounds(structure.footprint));
        everywhere.take_in(structure.inside);
        if (intersection(cells, analysis.grid.extent()).empty())
            findings.off_raster.add(structure.id);
        else
            any = true;
    }
    if (!any)
        throw all_off_raster(reader.layer(), structures.size(), everywhere,
                             box_of(analysis.grid.geotransform(),
                                    static_cast<double>(analysis.grid.cols()),
                                    static_cast<double>(analysis.grid.rows())),
                             analysis.crs);
}

void leave_out(GoneStructures& gone, std::vector<Structure>& structures,
               std::vector<Structure>& left_out, const VectorLayer& layer)
{
    const auto first_gone =
        std::stable_partition(structures.begin(), structures.end(),
                              [&](const Structure& s) { return !gone.ids.contains(s.id); });
    if (first_gone == structures.begin())
        throw layer.wrong("no structure is left: the corrections say that all are gone",
                          "check inputs.corrections");
    for (auto s = first_gone; s != structures.end(); ++s) {
        gone.met.insert(s->id);
        left_out.push_back(std::move(*s));
    }
    structures.erase(first_gone, structures.end());
}

} // namespace

std::vector<Structure> read_structures(const StructureSource& source, const AnalysisGrid& analysis,
                                       const Remarks& remarks, GoneStructures* gone,
                                       std::vector<Structure>& left_out)
{
    OutlineFindings findings;
    StructureReader reader{source, analysis};
    remarks.note_crs(reader.layer());
    std::vector<Structure> structures = reader.read(findings);
    if (gone)
        leave_out(*gone, structures, left_out, reader.layer());
    std::sort(structures.begin(), structures.end(),
              [](const Structure& a, const Structure& b) { return a.id < b.id; });
    require_on_raster(reader, structures, analysis, findings);
    require_ends_on_ground(structures, reader.layer(), analysis);
    set_degrees(structures, reader.layer(), analysis);
    flag_duplicates(structures);
    for (const Structure& structure : structures) {
        if (structure.repaired_outline)
            findings.repaired.add(structure.id);
        if (structure.duplicate_outline)
            findings.duplicate.add(structure.id);
        if (!source.people.empty() && structure.home && !structure.people)
            findings.no_people.add(structure.id);
    }
    findings.report(remarks.warnings);
    warn_of_strays(structures, remarks.warnings);
    return structures;
}

} // namespace fuelring
