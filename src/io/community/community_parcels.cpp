// SPDX-License-Identifier: Apache-2.0

// Parcels and whose they are. Outlines go onto the lattice of the map of parcels, in units of the
// grid; what overlaps by no more than a drawing does is shared out by the map, more is an error.
#include "io/community/community_findings.hpp"
#include "io/community/community_parts.hpp"
#include "io/community/owner_class.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

#include <algorithm>
#include <set>
#include <stdexcept>

namespace fuelring {

namespace {

/// Parcels further from all structures than this many times the widest ring are left out.
constexpr double far_rings = 10;

/// The ground around all structures, in units of the grid.
Box study_box(const std::vector<Structure>& structures, double widest_m, const Grid& grid)
{
    Box extent = Box::nothing();
    for (const Structure& s : structures) {
        const FrameOnGrid frame{s.frame, s.map_scale, grid};
        const Box box = bounds(s.footprint);
        const Point far{far_rings * widest_m, far_rings * widest_m};
        extent.take_in(frame.to_grid(box.min - far));
        extent.take_in(frame.to_grid(box.max + far));
    }
    return extent;
}

/// Overlaps smaller than this are not worth a word.
constexpr double told_overlap_m2 = 0.01;

struct ParcelFindings {
    Finding empty, repaired, no_owner, overlapping;

    void report(Warnings& warnings) const
    {
        empty.report(warnings, "empty_parcels", "parcels enclose no area and are left out");
        repaired.report(warnings, "repaired_parcels",
                        "parcels cross themselves and were repaired (even-odd)");
        no_owner.report(warnings, "parcels_without_owner",
                        "parcels have no owner: their class is 'unknown'");
        overlapping.report(warnings, "parcels_overlap_slightly",
                           "pairs of parcels overlap by less than a drawing errs: the ground is "
                           "taken as the first one's");
    }
};

class ParcelReader {
public:
    ParcelReader(const ParcelSource& source, const AnalysisGrid& analysis, const Box& study)
        : source_{source}, study_{study}, layer_{"inputs.parcels", source, analysis},
          owner_column_{layer_.column(source.owner, "owner")}
    {
        layer_.require_polygons();
        layer_.select({owner_column_});
        for (const std::string& name : source.private_owners)
            private_.insert(owner_class(name));
    }

    const PlacedLayer& layer() const { return layer_; }

    Ownership read(ParcelFindings& findings)
    {
        layer_.for_each([&](const OGRFeature& feature) { take(feature, findings); });
        if (shapes_.empty())
            throw layer_.wrong("there is no parcel near a structure",
                               "check inputs.parcels.layer, where and crs");
        Ownership result;
        name_classes(result);
        result.map = ParcelMap{shapes_};
        result.parcels = shapes_.size();
        result.shapes = shapes_;
        judge_overlaps(result.map.overlaps(), findings);
        return result;
    }

private:
    void take(const OGRFeature& feature, ParcelFindings& findings)
    {
        const std::int64_t fid = feature.GetFID();
        const std::vector<RawPolygon> polygons = layer_.polygons_on_grid(feature);
        const Box box = bounds(footprint_of(polygons));
        if (box.min.x <= box.max.x && !box.meets(study_))
            return;
        bool repaired = false;
        const Footprint outline = clean(polygons, feature, repaired);
        if (repaired)
            findings.repaired.add(std::to_string(fid));
        if (outline.loops.empty()) {
            findings.empty.add(std::to_string(fid));
            return;
        }
        const std::string owner = owner_class(layer_.text_of(feature, owner_column_).value_or(""));
        if (owner == unknown_owner)
            findings.no_owner.add(std::to_string(fid));
        shapes_.push_back(parcel_shape(outline));
        fids_.push_back(fid);
        owners_.push_back(private_.count(owner) ? std::string{private_owner} : owner);
    }

    Footprint clean(const std::vector<RawPolygon>& polygons, const OGRFeature& feature,
                    bool& repaired) const
    {
        return layer_.shaping(feature, "repair the parcel, or filter it out", [&] {
            const GeosGeometry united = geos_union(polygons, repaired);
            if (!united)
                return Footprint{};
            // A clean single outline keeps the vertices of its file, as its neighbours' do: a union
            // may write others.
            return footprint_of(polygons.size() == 1 && !repaired ? polygons
                                                                  : polygons_of(united.get()));
        });
    }

    void name_classes(Ownership& result) const
    {
        const std::set<std::string> names{owners_.begin(), owners_.end()};
        if (names.size() > most_owner_classes)
            throw layer_.wrong(fmt::format("{} classes of owners in column {}; {} is the most",
                                           names.size(), source_.owner, most_owner_classes),
                               "name a column of owner classes such as private, municipal, crown");
        result.classes.assign(names.begin(), names.end());
        for (const std::string& owner : owners_)
            result.class_of.push_back(static_cast<std::int32_t>(
                std::lower_bound(result.classes.begin(), result.classes.end(), owner) -
                result.classes.begin()));
        if (const auto at = std::find(result.classes.begin(), result.classes.end(), private_owner);
            at != result.classes.end())
            result.private_class = static_cast<std::int32_t>(at - result.classes.begin());
    }

    /// Throws where parcels really overlap.
    void judge_overlaps(const std::vector<ParcelOverlap>& overlaps, ParcelFindings& findings) const
    {
        const LocalScale scale =
            layer_.analysis().ground.at(layer_.analysis().grid.to_map({}, study_.centre()));
        Finding real;
        for (const ParcelOverlap& overlap : overlaps) {
            const double m2 = overlap.area / scale.areal();
            const std::string pair =
                fmt::format("{} and {} ({:.2f} m2)", fids_[static_cast<std::size_t>(overlap.first)],
                            fids_[static_cast<std::size_t>(overlap.second)], m2);
            // Width tells a slip of the pen along a boundary, however long, from a parcel that was
            // drawn twice.
            if (overlap.mean_width / std::max(scale.x, scale.y) > overlap_noise_m)
                real.add(pair);
            else if (m2 >= told_overlap_m2)
                findings.overlapping.add(pair);
        }
        if (real.count() > 0)
            throw layer_.wrong(
                fmt::format("{} pairs of parcels overlap: features {}{}", real.count(),
                            fmt::join(real.examples(), ", "),
                            real.count() > static_cast<std::int64_t>(first_few) ? ", ..." : ""),
                fmt::format("correct the layer, or filter with inputs.parcels.where; strips "
                            "narrower than {:g} m are taken as inaccuracies of drawing",
                            overlap_noise_m));
    }

    const ParcelSource& source_;
    const Box& study_;
    PlacedLayer layer_;
    int owner_column_;
    std::set<std::string> private_;
    std::vector<ParcelShape> shapes_;
    std::vector<std::int64_t> fids_;
    std::vector<std::string> owners_;
};

} // namespace

Ownership read_parcels(const ParcelSource& source, const std::vector<Structure>& structures,
                       const AnalysisGrid& analysis, const Remarks& remarks)
{
    const Box study = study_box(structures, source.widest_ring_m, analysis.grid);
    ParcelReader reader{source, analysis, study};
    remarks.note_crs(reader.layer());
    ParcelFindings findings;
    Ownership owners = reader.read(findings);
    findings.report(remarks.warnings);
    if (!owners.private_class)
        remarks.warnings.push_back({"no_private_parcels",
                                    "no parcel is private: inputs.parcels.private names the owners "
                                    "that are",
                                    0, owners.classes});
    return owners;
}

} // namespace fuelring
