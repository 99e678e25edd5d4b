// SPDX-License-Identifier: Apache-2.0

// Reference points go out as a layer that any GIS edits, and come back by hand: what people change
// there by mistake is refused with the point's number.
#include "io/comparison/reference_layer.hpp"

#include "base/caution.hpp"
#include "io/geopackage/footprint_wkb.hpp"
#include "io/tables/address_table.hpp"
#include "io/tables/csv_table.hpp"
#include "io/vector/placed_layer.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <ogr_feature.h>

#include <algorithm>
#include <cctype>

namespace fuelring {

namespace {

const std::string how_to_fill =
    "Fill in `reference` with what happened to the conifers at the spot itself, not in its cell: "
    "removed, regrown, unchanged or no_conifer. Where the cell is mixed and you can tell how much "
    "of it was under conifers, fill in conifer_before and conifer_after (0 to 1) instead. Leave "
    "what you cannot judge empty. Hide map_class while you judge. ";

struct LayerRow {
    const DrawnPoint& point;
    double within_m;
};

std::vector<Column<LayerRow>> layer_columns()
{
    using namespace unit;
    using R = LayerRow;
    using Number = std::optional<double>;
    return {
        {"point_id", "Point", none, [](const R& r) { return r.point.id; },
         "number of the point, in the order of the draw, which mixes the classes"},
        {"reference", "Reference", none, [](const R&) { return std::string{}; },
         "to fill in: `removed`, `regrown`, `unchanged` (conifers at both dates) or `no_conifer` "
         "(at neither), at the spot itself"},
        {"conifer_before", "Conifer before", share, [](const R&) { return Number{}; },
         "to fill in instead, in a mixed cell: how much of the cell of AFTER's raster was under "
         "conifers at both dates"},
        {"conifer_after", "Conifer after", share, [](const R&) { return Number{}; }},
        {"remark", "Remark", none, [](const R&) { return std::string{}; }, "yours; not read"},
        {"map_class", "Class on the map", none,
         [](const R& r) { return drawn_class_names.at(r.point.map_class); },
         "class of the cell in `change.tif`; hide the column while you judge"},
        {"within_m", "Drawn within", m, &R::within_m,
         "the points were drawn within this distance of the walls"}};
}

/// A row of change_accuracy.csv; none of a class is that of all.
struct AccuracyRow {
    const ReferenceAccuracy& accuracy;
    std::optional<std::size_t> map_class;

    const ReferenceAccuracy::OfClass* of() const
    {
        return map_class ? &accuracy.classes[*map_class] : nullptr;
    }
};

using Figure = std::optional<double>;

Figure half_width(const std::optional<Estimate>& estimate)
{
    return estimate ? estimate->half_width() : Figure{};
}

Figure value_of(const std::optional<Estimate>& estimate)
{
    return estimate ? Figure{estimate->value} : Figure{};
}

double ground_ha(const AccuracyRow& r)
{
    double m2 = 0;
    for (const ReferenceAccuracy::OfClass& of : r.accuracy.classes)
        m2 += !r.map_class || &of == r.of() ? of.ground_m2 : 0;
    return hectares(m2);
}

double found_as(const AccuracyRow& r, std::size_t k)
{
    double points = 0;
    for (const ReferenceAccuracy::OfClass& of : r.accuracy.classes)
        points += !r.map_class || &of == r.of() ? of.found[k] : 0;
    return points;
}

std::vector<Column<AccuracyRow>> accuracy_columns(const Labels& found)
{
    using namespace unit;
    using R = AccuracyRow;
    return laid_out<R>({
        {when(true),
         {{"map_class", "Class on the map", none,
           [](const R& r) {
               return std::string{r.map_class ? drawn_class_names[*r.map_class] : "(all)"};
           },
           "class of the cell in `change.tif`; `(all)`: all of them"},
          {"ground_ha", "Ground", ha, ground_ha,
           "ground of that class that the points were drawn from: the stratum"},
          {"points", "Points", none,
           [](const R& r) { return r.map_class ? r.of()->points : r.accuracy.points; },
           "judged points"}}},
        {found,
         {{"found_{}",
           "Found {}",
           {"points", 3},
           [](const R& r, std::size_t k) { return found_as(r, k); },
           "the matrix: how many of them were found to be of that class of change. A point judged "
           "by the shares of "
           "its cell counts in parts"}}},
        {when(true),
         {{"users_accuracy", "User's accuracy", share,
           [](const R& r) { return r.of() ? value_of(r.of()->users) : Figure{}; },
           "share of the ground of these cells that is this class, and the half-width of its 95% "
           "interval"},
          {"users_ci95", "User's accuracy ci95", share,
           [](const R& r) { return r.of() ? half_width(r.of()->users) : Figure{}; }},
          {"producers_accuracy", "Producer's accuracy", share,
           [](const R& r) { return r.of() ? value_of(r.of()->producers) : Figure{}; },
           "share of the ground of this class that lies in these cells"},
          {"producers_ci95", "Producer's accuracy ci95", share,
           [](const R& r) { return r.of() ? half_width(r.of()->producers) : Figure{}; }},
          {"overall_accuracy", "Overall accuracy", share,
           [](const R& r) { return r.of() ? Figure{} : Figure{r.accuracy.overall.value}; },
           "only in the row of all: share of the ground that is what its cell says"},
          {"overall_ci95", "Overall accuracy ci95", share,
           [](const R& r) { return r.of() ? Figure{} : r.accuracy.overall.half_width(); }}}},
    });
}

Labels classes_found()
{
    Labels found;
    for (const char* name : drawn_class_names)
        found.push_back({name, name});
    return found;
}

std::string trimmed_lower(std::string text)
{
    const auto blank = [](unsigned char c) { return std::isspace(c) != 0; };
    text.erase(text.begin(), std::find_if_not(text.begin(), text.end(), blank));
    text.erase(std::find_if_not(text.rbegin(), text.rend(), blank).base(), text.end());
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

/// Index of a class of change; none where the text names none.
std::optional<std::size_t> class_named(const std::string& text)
{
    const std::string name = trimmed_lower(text);
    const auto at = std::find(drawn_class_names.begin(), drawn_class_names.end(), name);
    return at == drawn_class_names.end()
               ? std::nullopt
               : std::optional{static_cast<std::size_t>(at - drawn_class_names.begin())};
}

class PointReader {
public:
    PointReader(const std::string& path, const std::string& layer, const AnalysisGrid& analysis)
        : layer_{"--points", {.path = path, .layer = layer}, analysis}
    {
        for (const auto& [column, name] :
             {std::pair{&id_, "point_id"}, std::pair{&reference_, "reference"},
              std::pair{&before_, "conifer_before"}, std::pair{&after_, "conifer_after"},
              std::pair{&map_class_, "map_class"}, std::pair{&within_, "within_m"}})
            *column = layer_.column(name, name);
    }

    FilledPoints read()
    {
        layer_.for_each([&](const OGRFeature& feature) { take(feature); });
        if (result_.points.empty())
            throw layer_.wrong("the layer has no reference points",
                               "name the layer that --draw-points wrote");
        return std::move(result_);
    }

private:
    void take(const OGRFeature& feature)
    {
        FilledPoint point;
        point.id = layer_.text_of(feature, id_).value_or("");
        const OGRGeometry* geometry = feature.GetGeometryRef();
        if (!geometry || geometry->IsEmpty() || wkbFlatten(geometry->getGeometryType()) != wkbPoint)
            throw layer_.wrong_feature(feature, "it is no point", "draw the points again");
        point.at = {geometry->toPoint()->getX(), geometry->toPoint()->getY()};
        if (!layer_.place(point.at))
            throw layer_.not_placed(feature, "the point");
        point.map_class = class_in(feature, map_class_).value_or(drawn_classes);
        if (point.map_class == drawn_classes)
            throw layer_.wrong_feature(feature, "map_class is empty", "draw the points again");
        point.found = found_in(feature);
        take_distance(feature);
        result_.points.push_back(std::move(point));
    }

    void take_distance(const OGRFeature& feature)
    {
        const double within_m = number_of(feature, within_).value_or(0);
        if (result_.points.empty())
            result_.within_m = within_m;
        if (!(within_m > 0) || within_m != result_.within_m)
            throw layer_.wrong_feature(
                feature,
                fmt::format("within_m is {:g}, where the first point has {:g}", within_m,
                            result_.within_m),
                "keep the points of one draw in one layer");
    }

    std::optional<std::size_t> class_in(const OGRFeature& feature, int column) const
    {
        const std::string text = layer_.text_of(feature, column).value_or("");
        if (trimmed_lower(text).empty())
            return std::nullopt;
        const auto found = class_named(text);
        if (!found)
            throw layer_.wrong_feature(feature, fmt::format("'{}' is no class of change", text),
                                       fmt::format("write one of {}, or leave the cell empty",
                                                   fmt::join(drawn_class_names, ", ")));
        return found;
    }

    std::optional<ChangeShares> found_in(const OGRFeature& feature) const
    {
        const auto by_word = class_in(feature, reference_);
        const auto before = number_of(feature, before_);
        const auto after = number_of(feature, after_);
        const auto is_share = [](std::optional<double> v) { return v && *v >= 0 && *v <= 1; };
        if (!before && !after) {
            if (!by_word)
                return std::nullopt;
            ChangeShares shares{};
            shares[*by_word] = 1;
            return shares;
        }
        if (!is_share(before) || !is_share(after))
            throw layer_.wrong_feature(
                feature, "conifer_before and conifer_after are not two shares from 0 to 1",
                "fill in both, or use the column reference");
        if (by_word)
            throw layer_.wrong_feature(feature, "the point is judged twice",
                                       "fill in reference, or both shares, not all of them");
        return shares_between(*before, *after);
    }

    PlacedLayer layer_;
    int id_ = -1, reference_ = -1, before_ = -1, after_ = -1, map_class_ = -1, within_ = -1;
    FilledPoints result_;
};

} // namespace

ChangeShares shares_between(double before, double after)
{
    return {std::max(before - after, 0.0), std::max(after - before, 0.0), std::min(before, after),
            1 - std::max(before, after)};
}

void write_reference_points(const std::filesystem::path& path,
                            const std::vector<DrawnPoint>& points, double within_m, const Crs& crs)
{
    GpkgFile file{path, crs, how_to_fill + caution};
    add_layer(
        file, "reference_points", GpkgFile::Shape::point, layer_columns(), points.size(),
        [&](std::size_t p) {
            return LayerRow{points[p], within_m};
        },
        [&](std::size_t p) { return wkb_point(points[p].at); });
    file.finish();
}

FilledPoints read_reference_points(const std::string& path, const std::string& layer,
                                   const AnalysisGrid& analysis)
{
    return PointReader{path, layer, analysis}.read();
}

void write_change_accuracy_csv(const std::filesystem::path& path, const ReferenceAccuracy& accuracy,
                               bool bom)
{
    const auto row = [&](std::size_t k) {
        return AccuracyRow{accuracy, k < drawn_classes ? std::optional{k} : std::nullopt};
    };
    write_csv(path, accuracy_columns(classes_found()), drawn_classes + 1, row, bom);
}

std::vector<FileColumns> reference_tables()
{
    return {{"reference_points.gpkg", heads_of(layer_columns())},
            {"change_accuracy.csv", heads_of(accuracy_columns({{"CLASS", "CLASS"}}))}};
}

} // namespace fuelring
