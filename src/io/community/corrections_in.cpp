// SPDX-License-Identifier: Apache-2.0

// Rows of what visits found. People type them, so each is judged by itself and every complaint
// names its feature. Rows are put in the order of their days, those of one day as the file has
// them, since a later visit goes before an earlier one.
#include "io/community/corrections_in.hpp"

#include "base/csv_reader.hpp"
#include "io/vector/placed_layer.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <chrono>
#include <memory>

namespace fuelring {

namespace {

constexpr std::size_t longest_initials = 12; ///< bytes; who is meant, not a signature

/// True for a day of the calendar, written YYYY-MM-DD.
bool is_day(const std::string& text)
{
    if (text.size() != 10 || text[4] != '-' || text[7] != '-')
        return false;
    const auto number = [&text](std::size_t at, std::size_t digits) {
        return number_in<int>(std::string_view{text}.substr(at, digits)).value_or(-1);
    };
    const int year = number(0, 4), month = number(5, 2), day = number(8, 2);
    return year > 0 && month > 0 && day > 0 &&
           std::chrono::year_month_day{std::chrono::year{year},
                                       std::chrono::month{static_cast<unsigned>(month)},
                                       std::chrono::day{static_cast<unsigned>(day)}}
               .ok();
}

class CorrectionReader {
public:
    CorrectionReader(const CorrectionSource& source, const AnalysisGrid& analysis)
        : source_{source}, layer_{"inputs.corrections", source, analysis, CrsNeed::may_lack},
          kind_{layer_.column(source.kind, "kind")}, date_{layer_.column(source.date, "date")},
          initials_{layer_.column(source.initials, "initials")},
          structure_{optional_column(source.structure_id, "structure_id")},
          group_{optional_column(source.group, "group")}, wkt_{optional_column(source.wkt, "wkt")}
    {}

    std::vector<Correction> read(std::vector<LayerCrs>& layers)
    {
        std::vector<Correction> rows;
        layer_.for_each([&](const OGRFeature& feature) { rows.push_back(row_of(feature)); });
        std::stable_sort(rows.begin(), rows.end(),
                         [](const Correction& a, const Correction& b) { return a.date < b.date; });
        if (std::any_of(rows.begin(), rows.end(),
                        [](const Correction& row) { return row.has_shape(); }))
            layers.push_back(layer_.layer_crs());
        return rows;
    }

private:
    /// A column that may be missing, unless the configuration gives it a name of its own.
    std::optional<int> optional_column(const std::string& name, const char* usual) const
    {
        if (name == usual && !layer_.has_column(name))
            return std::nullopt;
        return layer_.column(name, usual);
    }

    std::string text(const OGRFeature& feature, std::optional<int> column) const
    {
        std::string value = column ? layer_.text_of(feature, *column).value_or("") : "";
        const std::size_t first = value.find_first_not_of(" \t");
        const std::size_t last = value.find_last_not_of(" \t");
        return first == value.npos ? "" : value.substr(first, last - first + 1);
    }

    Correction row_of(const OGRFeature& feature) const
    {
        Correction row;
        row.feature = feature.GetFID();
        row.kind = kind_of(feature);
        row.date = date_of(feature);
        row.initials = text(feature, initials_);
        if (row.initials.empty() || row.initials.size() > longest_initials)
            throw layer_.wrong_feature(
                feature,
                fmt::format("'{}' are not initials: every row needs initials", row.initials),
                fmt::format("put who was there into {}, in 1 to {} letters", source_.initials,
                            longest_initials));
        row.structure_id = text(feature, structure_);
        read_group(feature, row);
        read_shape(feature, row);
        const bool placed = row.kind == CorrectionKind::gone
                                ? !row.structure_id.empty()
                                : row.has_shape() || !row.structure_id.empty();
        if (!placed)
            throw layer_.wrong_feature(
                feature, fmt::format("'{}' of what? the row names no place", name_of(row.kind)),
                row.kind == CorrectionKind::gone
                    ? "give it the structure_id of what is gone"
                    : "give it a polygon or a point, or a structure_id for the cells under "
                      "that footprint");
        return row;
    }

    CorrectionKind kind_of(const OGRFeature& feature) const
    {
        const std::string word = text(feature, kind_);
        const auto found = std::find(correction_kinds.begin(), correction_kinds.end(), word);
        if (found == correction_kinds.end())
            throw layer_.wrong_feature(
                feature, fmt::format("'{}' is not a kind of correction", word),
                fmt::format("write one of {}", fmt::join(correction_kinds, ", ")));
        return static_cast<CorrectionKind>(found - correction_kinds.begin());
    }

    std::string date_of(const OGRFeature& feature) const
    {
        std::string day = text(feature, date_);
        const OGRFieldType type = feature.GetFieldDefnRef(date_)->GetType();
        if (type == OFTDate || type == OFTDateTime) { // OGR writes 2026/05/31
            day = day.substr(0, 10);
            std::replace(day.begin(), day.end(), '/', '-');
        }
        if (!is_day(day))
            throw layer_.wrong_feature(
                feature,
                fmt::format("'{}' is not a day: every row needs the date of its visit", day),
                "write it as 2026-05-31");
        return day;
    }

    void read_group(const OGRFeature& feature, Correction& row) const
    {
        const std::string word = text(feature, group_);
        if (word.empty())
            return;
        const std::optional<FuelGroup> group = fuel_group(word);
        const bool fits = row.kind == CorrectionKind::not_conifer && group &&
                          std::find(not_conifer_groups.begin(), not_conifer_groups.end(), *group) !=
                              not_conifer_groups.end();
        if (!fits)
            throw layer_.wrong_feature(
                feature, fmt::format("'{}' is not a group for land without conifers", word),
                "give not_conifer one of grass, broadleaved, shrub, built, water, bare, and "
                "other kinds none");
        row.group = *group;
        row.names_group = true;
    }

    void read_shape(const OGRFeature& feature, Correction& row) const
    {
        const OGRGeometry* geometry = feature.GetGeometryRef();
        std::unique_ptr<OGRGeometry> parsed;
        const std::string wkt = text(feature, wkt_);
        if ((!geometry || geometry->IsEmpty()) && !wkt.empty()) {
            OGRGeometry* made = nullptr;
            OGRGeometryFactory::createFromWkt(wkt.c_str(), nullptr, &made);
            parsed.reset(made);
            if (!parsed)
                throw layer_.wrong_feature(feature,
                                           fmt::format("'{}' is not a shape", wkt.substr(0, 40)),
                                           "write it as POLYGON ((x y, x y, ...)) or POINT (x y)");
            geometry = parsed.get();
        }
        if (!geometry || geometry->IsEmpty())
            return;
        row.polygons = raw_outline(geometry).polygons;
        collect_points(*geometry, row.points);
        if (!row.has_shape())
            throw layer_.wrong_feature(feature, "the shape is neither polygon nor point",
                                       "draw the area that was looked at");
        to_cells(feature, row);
    }

    static void collect_points(const OGRGeometry& geometry, std::vector<Point>& points)
    {
        const OGRwkbGeometryType type = wkbFlatten(geometry.getGeometryType());
        if (type == wkbPoint && !geometry.IsEmpty())
            points.push_back({geometry.toPoint()->getX(), geometry.toPoint()->getY()});
        if (type == wkbMultiPoint || type == wkbGeometryCollection)
            for (const OGRGeometry* part : *geometry.toGeometryCollection())
                collect_points(*part, points);
    }

    void to_cells(const OGRFeature& feature, Correction& row) const
    {
        const auto place = [&](Point& p) {
            if (!layer_.place(p))
                throw layer_.not_placed(feature, "a vertex");
            p = layer_.analysis().grid.cell_of(p);
        };
        for_each_vertex(row.polygons, place);
        std::for_each(row.points.begin(), row.points.end(), place);
    }

    const CorrectionSource& source_;
    PlacedLayer layer_;
    int kind_, date_, initials_;
    std::optional<int> structure_, group_, wkt_;
};

} // namespace

std::vector<Correction> read_corrections(const CorrectionSource& source,
                                         const AnalysisGrid& analysis,
                                         std::vector<LayerCrs>& layers)
{
    return CorrectionReader{source, analysis}.read(layers);
}

} // namespace fuelring
