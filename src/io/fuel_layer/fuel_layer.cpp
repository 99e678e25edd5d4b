// SPDX-License-Identifier: Apache-2.0

// The grid follows from where the polygons lie, and where they lie on the grid from the grid: so
// the layer is read twice, first for its extent.
#include "io/fuel_layer/fuel_layer.hpp"

#include "base/csv_reader.hpp"
#include "base/grouped.hpp"
#include "geometry/partition/parcel_map.hpp"
#include "io/fuel_layer/fuel_grid.hpp"
#include "io/vector/placed_layer.hpp"
#include "raster/share_classes.hpp"

#include <fmt/format.h>
#include <ogr_feature.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

namespace fuelring {

namespace {

constexpr const char* fuel_key = "inputs.fuel";
constexpr std::size_t most_examples = 5;

Box box_of(const std::vector<RawPolygon>& polygons)
{
    Box box = Box::nothing();
    for_each_vertex(polygons, [&](Point p) { box.take_in(p); });
    return box;
}

Error without_values(const VectorLayer& layer, const FuelSource& source)
{
    return layer.wrong(
        fmt::format("the layer has no polygon with a value in column {}", source.column),
        "check inputs.fuel.layer, inputs.fuel.column and inputs.fuel.where");
}

AnalysisPlan plan_of_layer(const FuelSource& source, const StudyArea& study)
{
    VectorLayer layer{fuel_key, source.layer_source()};
    layer.require_polygons();
    layer.select({});
    Box extent = Box::nothing();
    layer.for_each([&](const OGRFeature& feature) {
        const std::vector<RawPolygon> polygons = raw_outline(feature.GetGeometryRef()).polygons;
        for_each_vertex(polygons, [&](Point p) {
            if (!is_place(p))
                throw layer.wrong_feature(feature, "a vertex cannot be placed in the raster's grid",
                                          "repair the polygon, or filter it out");
            extent.take_in(p);
        });
    });
    if (!(extent.min.x < extent.max.x && extent.min.y < extent.max.y))
        throw without_values(layer, source);
    return plan_fuel_grid(source, layer.crs(), extent, study);
}

/// The ground of the grid in the layer's own system, with a margin; empty where both are one.
std::optional<Box> near_box(const AnalysisGrid& analysis, const Crs& layer)
{
    if (layer.same_as(analysis.crs))
        return std::nullopt;
    const Grid& grid = analysis.grid;
    std::vector<Point> places =
        lattice_in(Box::between(grid.corner(0, 0), grid.corner(grid.cols(), grid.rows())), 32);
    if (!Reprojection{analysis.crs, layer, analysis.area}.apply(places))
        return std::nullopt;
    Box box = Box::nothing();
    for (const Point p : places)
        box.take_in(p);
    const Point margin = 0.01 * (box.max - box.min);
    return Box{box.min - margin, box.max + margin};
}

/// How many of a kind, and the first few.
struct Oddity {
    std::int64_t count = 0;
    std::vector<std::string> examples{};

    void add(std::string example)
    {
        ++count;
        if (examples.size() < most_examples)
            examples.push_back(std::move(example));
    }
    void report(Warnings& warnings, const char* key, const char* one, const char* many) const
    {
        if (count > 0)
            warnings.push_back(
                {key, grouped(count) + " " + (count == 1 ? one : many), count, examples});
    }
};

class LayerReader {
public:
    LayerReader(const FuelSource& source, const AnalysisGrid& analysis)
        : source_{source}, layer_{fuel_key, source.layer_source(), analysis},
          column_{layer_.column(source.column, "column")}, near_{near_box(analysis, layer_.crs())}
    {
        layer_.select({column_});
    }

    void read()
    {
        layer_.for_each([this](const OGRFeature& feature) { take(feature); });
        if (shapes_.empty())
            throw without_values(layer_, source_);
    }

    const PlacedLayer& layer() const { return layer_; }
    std::size_t polygons() const { return shapes_.size(); }

    std::vector<FuelGround> grounds(Warnings& warnings)
    {
        const ParcelMap map{shapes_};
        judge(map, warnings);
        std::vector<FuelGround> grounds(values_.size());
        for (const ParcelLine& line : map.lines()) {
            if (line.left != no_parcel)
                grounds[static_cast<std::size_t>(line.left)].lines.push_back(line.line);
            if (line.right != no_parcel)
                grounds[static_cast<std::size_t>(line.right)].lines.push_back(
                    {line.line.b, line.line.a});
        }
        for (std::size_t k = 0; k < grounds.size(); ++k) {
            grounds[k].value = values_[k];
            grounds[k].cells = cells_of(grounds[k].lines);
        }
        std::erase_if(grounds, [](const FuelGround& ground) { return ground.lines.empty(); });
        std::stable_sort(
            grounds.begin(), grounds.end(),
            [](const FuelGround& a, const FuelGround& b) { return a.value < b.value; });
        return grounds;
    }

private:
    void take(const OGRFeature& feature)
    {
        RawOutline outline = raw_outline(feature.GetGeometryRef());
        if (near_ && !box_of(outline.polygons).meets(*near_))
            return;
        const std::string fid = std::to_string(feature.GetFID());
        bool repaired = false;
        const Footprint clean = layer_.clean_on_grid(feature, repaired);
        if (repaired)
            repaired_.add(fid);
        if (clean.loops.empty()) {
            empty_.add(fid);
            return;
        }
        const std::optional<std::int64_t> value = value_of(feature);
        if (!value) {
            without_value_.add(fid);
            return;
        }
        shapes_.push_back(parcel_shape(clean));
        values_.push_back(*value);
        fids_.push_back(feature.GetFID());
    }

    /// Nothing where the cell is empty.
    std::optional<std::int64_t> value_of(const OGRFeature& feature) const
    {
        const std::optional<std::string> text = layer_.text_of(feature, column_);
        if (!text)
            return std::nullopt;
        const std::optional<double> number = number_in<double>(*text);
        return source_.holds_shares() ? share_of(feature, *text, number)
                                      : code_of(feature, *text, number);
    }

    std::optional<std::int64_t> share_of(const OGRFeature& feature, const std::string& text,
                                         std::optional<double> number) const
    {
        const double whole =
            source_.values == FuelValues::percent ? whole_share / 100.0 : whole_share;
        const double share = number ? std::round(whole * *number) : -1;
        if (share >= 0 && share <= whole_share)
            return static_cast<std::int64_t>(share);
        if (source_.unknown_codes_are_unmapped)
            return std::nullopt;
        throw layer_.wrong_feature(
            feature, fmt::format("'{}' in column {} is no share of conifers", text, source_.column),
            source_.values == FuelValues::percent
                ? "with values = \"percent\" shares are numbers from 0 to 100"
                : "with values = \"fraction\" shares are numbers from 0 to 1");
    }

    std::int64_t code_of(const OGRFeature& feature, const std::string& text,
                         std::optional<double> number) const
    {
        if (const std::optional<std::int64_t> code = number_in<std::int64_t>(text))
            return *code;
        constexpr double most = 9007199254740992.0; // 2^53
        if (number && std::abs(*number) <= most && *number == std::trunc(*number))
            return static_cast<std::int64_t>(*number);
        throw layer_.wrong_feature(
            feature, fmt::format("'{}' in column {} is no class code", text, source_.column),
            "codes are whole numbers, as in the class table; name their column as "
            "inputs.fuel.column");
    }

    void judge(const ParcelMap& map, Warnings& warnings) const
    {
        constexpr double told_m2 = 1;
        Oddity overlaps;
        for (const ParcelOverlap& overlap : map.overlaps())
            if (overlap.area >= told_m2)
                overlaps.add(fmt::format("{} and {}",
                                         fids_[static_cast<std::size_t>(overlap.first)],
                                         fids_[static_cast<std::size_t>(overlap.second)]));
        empty_.report(warnings, "fuel_polygons_empty",
                      "fuel polygon encloses no area and is left out",
                      "fuel polygons enclose no area and are left out");
        repaired_.report(warnings, "fuel_polygons_repaired",
                         "fuel polygon crosses itself and was repaired (even-odd)",
                         "fuel polygons cross themselves and were repaired (even-odd)");
        without_value_.report(warnings, "fuel_polygons_without_value",
                              "fuel polygon has no code or share: its ground is unmapped",
                              "fuel polygons have no code or share: their ground is unmapped");
        overlaps.report(warnings, "fuel_polygons_overlap",
                        "pair of fuel polygons overlaps: the ground is the first one's",
                        "pairs of fuel polygons overlap: the ground is the first one's");
    }

    CellRect cells_of(const std::vector<LatticeSegment>& lines) const
    {
        Box box = Box::nothing();
        for (const LatticeSegment& line : lines) {
            box.take_in(from_lattice(line.a));
            box.take_in(from_lattice(line.b));
        }
        return lines.empty() ? CellRect{} : widened(layer_.analysis().grid.cells_of({}, box), 1);
    }

    const FuelSource& source_;
    PlacedLayer layer_;
    int column_;
    std::optional<Box> near_;
    std::vector<ParcelShape> shapes_;
    std::vector<std::int64_t> values_, fids_;
    Oddity empty_, repaired_, without_value_;
};

} // namespace

FuelLayer::FuelLayer(const FuelSource& source, const StudyArea& study)
    : plan_{plan_of_layer(source, study)}, holds_shares_{source.holds_shares()}
{
    LayerReader reader{source, plan_.analysis};
    reader.read();
    layer_crs_ = reader.layer().layer_crs();
    description_ = fmt::format(
        "{} polygons by column {}, burnt into {} x {} cells of {:g} m by exact cover: {}; a cell "
        "of which less than half is covered is unmapped",
        grouped(static_cast<std::int64_t>(reader.polygons())), source.column, grid().cols(),
        grid().rows(), source.cell_m,
        holds_shares_ ? "the mean of shares by area" : "the code of the largest part");
    plan_.decision = fmt::format("fuel polygons are burnt into cells of {:g} m; ", source.cell_m) +
                     plan_.decision;
    grounds_ = reader.grounds(warnings_);
}

} // namespace fuelring
