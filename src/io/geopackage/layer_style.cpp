// SPDX-License-Identifier: Apache-2.0

// A style is a list of rules (layer_rules.hpp), written in QML and in SLD: the same list, and the
// same colours as on the page.
#include "io/geopackage/layer_style.hpp"

#include "base/colours/map_colours.hpp"
#include "base/markup.hpp"
#include "io/geopackage/layer_rules.hpp"

#include <fmt/format.h>

#include <string_view>

namespace fuelring {

namespace {

std::string escaped(std::string_view text)
{
    return markup_text(text, [](std::string_view c) -> std::string_view {
        return is_control(c) ? " " : c; // XML has no other control characters
    });
}

// QML

std::string option(std::string_view name, std::string_view value)
{
    return fmt::format("<Option name=\"{}\" type=\"QString\" value=\"{}\"/>", name, value);
}

std::string symbol_layer(std::string_view kind, const std::string& options,
                         const std::string& inner = {})
{
    return fmt::format("<layer class=\"{}\" enabled=\"1\" locked=\"0\" pass=\"0\">"
                       "<Option type=\"Map\">{}</Option>{}</layer>",
                       kind, options, inner);
}

std::string outline_options(const report::Colour& colour, std::string_view width_mm)
{
    return option("outline_color", report::hex_of(colour)) + option("outline_width", width_mm) +
           option("outline_width_unit", "MM") + option("outline_style", "solid");
}

std::string dot_layer()
{
    return symbol_layer("SimpleMarker",
                        option("name", "circle") +
                            option("color", report::hex_of(report::map_colours().chosen)) +
                            option("size", "0.9") + option("size_unit", "MM") +
                            outline_options(report::map_colours().halo, "0.2"));
}

std::string point_layer(const StyleRule& rule)
{
    return symbol_layer("SimpleMarker", option("name", rule.unknown ? "cross2" : "circle") +
                                            option("color", rule.colour) + option("size", "2.2") +
                                            option("size_unit", "MM") +
                                            outline_options(report::map_colours().outline, "0.2"));
}

std::string outline_layer()
{
    return symbol_layer("SimpleFill",
                        option("style", "no") + outline_options(report::map_colours().area, "0.4"));
}

/// The halo is drawn first, and lies under the outline.
std::string polygon_layer(const StyleRule& rule, std::size_t number)
{
    const std::string halo = symbol_layer(
        "SimpleFill", option("style", "no") + outline_options(report::map_colours().halo, "0.9"));
    const std::string outline = outline_options(report::map_colours().outline, "0.2");
    if (!rule.unknown)
        return halo + symbol_layer("SimpleFill", option("color", rule.colour) +
                                                     option("style", "solid") + outline);
    const std::string line =
        symbol_layer("SimpleLine", option("line_color", rule.colour) + option("line_width", "0.3") +
                                       option("line_width_unit", "MM"));
    return halo +
           symbol_layer("LinePatternFill",
                        option("angle", "45") + option("distance", "1") +
                            option("distance_unit", "MM"),
                        fmt::format("<symbol name=\"@{}@1\" type=\"line\" alpha=\"1\">{}</symbol>",
                                    number, line)) +
           symbol_layer("SimpleFill", option("style", "no") + outline);
}

std::string symbol_of(const LayerDrawing& drawing, std::size_t k, bool points)
{
    using Kind = LayerDrawing::Kind;
    if (points)
        return drawing.kind == Kind::dots ? dot_layer() : point_layer(drawing.rules[k]);
    return drawing.kind == Kind::outline ? outline_layer() : polygon_layer(drawing.rules[k], k);
}

std::string condition(const StyleRule& rule)
{
    if (rule.unknown)
        return fmt::format("\"{}\" IS NULL", rule.column);
    return fmt::format("\"{0}\" >= {1} AND \"{0}\" < {2}", rule.column, rule.from, rule.to);
}

std::string renderer(const LayerDrawing& drawing, bool points)
{
    const std::vector<StyleRule>& rules = drawing.rules;
    std::string symbols;
    std::string list;
    for (std::size_t k = 0; k < rules.size(); ++k) {
        symbols += fmt::format("<symbol name=\"{}\" type=\"{}\" alpha=\"1\" clip_to_extent=\"1\">"
                               "{}</symbol>\n",
                               k, points ? "marker" : "fill", symbol_of(drawing, k, points));
        list += fmt::format("<rule key=\"{0}\" symbol=\"{0}\" label=\"{1}\" filter=\"{2}\"/>\n", k,
                            escaped(rules[k].label),
                            rules[k].column.empty() ? "" : escaped(condition(rules[k])));
    }
    if (rules.size() == 1)
        return fmt::format("<renderer-v2 type=\"singleSymbol\" symbollevels=\"0\"><symbols>{}"
                           "</symbols></renderer-v2>\n",
                           symbols);
    return fmt::format("<renderer-v2 type=\"RuleRenderer\" symbollevels=\"0\">\n"
                       "<rules key=\"root\">\n{}</rules>\n<symbols>\n{}</symbols>\n"
                       "</renderer-v2>\n",
                       list, symbols);
}

/// Names on the map, with a halo; nothing where the layer has none.
std::string labelling(const LayerDrawing& drawing, bool points)
{
    if (drawing.name_column.empty())
        return {};
    const bool outline = drawing.kind == LayerDrawing::Kind::outline;
    return fmt::format(
        "<labeling type=\"simple\"><settings calloutType=\"simple\">\n"
        "<text-style fieldName=\"{0}\" isExpression=\"0\" fontSize=\"{1}\" "
        "fontSizeUnit=\"Point\" textColor=\"{2}\" fontWeight=\"{3}\">"
        "<text-buffer bufferDraw=\"1\" bufferSize=\"0.8\" bufferSizeUnits=\"MM\" "
        "bufferColor=\"{4}\" bufferOpacity=\"1\"/></text-style>\n"
        "<placement placement=\"{5}\" dist=\"1\" distUnits=\"MM\"/>\n"
        "<rendering drawLabels=\"1\" scaleVisibility=\"{6}\" scaleMin=\"0\" scaleMax=\"{7}\" "
        "obstacle=\"1\"/>\n</settings></labeling>\n",
        escaped(drawing.name_column), outline ? 10 : 8, report::hex_of(report::map_colours().area),
        outline ? 75 : 50, report::hex_of(report::map_colours().halo), points ? 6 : 1,
        drawing.labels_from > 0 ? 1 : 0, drawing.labels_from);
}

std::string aliases(const std::vector<GpkgField>& fields)
{
    std::string list;
    for (std::size_t k = 0; k < fields.size(); ++k) // index 0 is the row's number
        list += fmt::format("<alias field=\"{}\" index=\"{}\" name=\"{}\"/>\n",
                            escaped(fields[k].name), k + 1, escaped(fields[k].alias));
    return "<aliases>\n" + list + "</aliases>\n";
}

// SLD

std::string sld_condition(const StyleRule& rule)
{
    if (rule.column.empty())
        return {};
    const std::string name = fmt::format("<ogc:PropertyName>{}</ogc:PropertyName>", rule.column);
    if (rule.unknown)
        return fmt::format("<ogc:Filter><ogc:PropertyIsNull>{}</ogc:PropertyIsNull></ogc:Filter>",
                           name);
    return fmt::format(
        "<ogc:Filter><ogc:And><ogc:PropertyIsGreaterThanOrEqualTo>{0}<ogc:Literal>{1}"
        "</ogc:Literal></ogc:PropertyIsGreaterThanOrEqualTo><ogc:PropertyIsLessThan>{0}"
        "<ogc:Literal>{2}</ogc:Literal></ogc:PropertyIsLessThan></ogc:And></ogc:Filter>",
        name, rule.from, rule.to);
}

std::string sld_fill(const StyleRule& rule)
{
    const std::string colour =
        fmt::format("<se:SvgParameter name=\"fill\">{}</se:SvgParameter>", rule.colour);
    if (!rule.unknown)
        return "<se:Fill>" + colour + "</se:Fill>";
    return fmt::format("<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>x"
                       "</se:WellKnownName><se:Fill>{}</se:Fill></se:Mark><se:Size>6</se:Size>"
                       "</se:Graphic></se:GraphicFill></se:Fill>",
                       colour);
}

std::string sld_stroke(const report::Colour& colour)
{
    return fmt::format(
        "<se:Stroke><se:SvgParameter name=\"stroke\">{}</se:SvgParameter></se:Stroke>",
        report::hex_of(colour));
}

std::string sld_symbol(const LayerDrawing& drawing, const StyleRule& rule, bool points)
{
    using Kind = LayerDrawing::Kind;
    if (!points)
        return fmt::format("<se:PolygonSymbolizer>{}{}</se:PolygonSymbolizer>",
                           drawing.kind == Kind::outline ? "" : sld_fill(rule),
                           sld_stroke(drawing.kind == Kind::outline
                                          ? report::map_colours().area
                                          : report::map_colours().outline));
    const bool dots = drawing.kind == Kind::dots;
    return fmt::format(
        "<se:PointSymbolizer><se:Graphic><se:Mark><se:WellKnownName>{}"
        "</se:WellKnownName><se:Fill><se:SvgParameter name=\"fill\">{}"
        "</se:SvgParameter></se:Fill>{}</se:Mark><se:Size>{}</se:Size></se:Graphic>"
        "</se:PointSymbolizer>",
        rule.unknown ? "x" : "circle",
        dots ? report::hex_of(report::map_colours().chosen) : rule.colour,
        sld_stroke(dots ? report::map_colours().halo : report::map_colours().outline),
        dots ? 4 : 8);
}

/// A name as far out as the drawing says, nothing for a layer without.
std::string sld_names(const LayerDrawing& drawing)
{
    if (drawing.name_column.empty())
        return {};
    const std::string far = drawing.labels_from > 0
                                ? fmt::format("<se:MaxScaleDenominator>{}</se:MaxScaleDenominator>",
                                              drawing.labels_from)
                                : std::string{};
    return fmt::format("<se:Rule>{}<se:TextSymbolizer><se:Label><ogc:PropertyName>{}"
                       "</ogc:PropertyName></se:Label></se:TextSymbolizer></se:Rule>\n",
                       far, escaped(drawing.name_column));
}

std::string sld_of(const std::string& layer, const LayerDrawing& drawing, bool points)
{
    std::string list;
    for (const StyleRule& rule : drawing.rules)
        list +=
            fmt::format("<se:Rule><se:Name>{0}</se:Name>{1}{2}</se:Rule>\n", escaped(rule.label),
                        sld_condition(rule), sld_symbol(drawing, rule, points));
    list += sld_names(drawing);
    return fmt::format("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                       "<StyledLayerDescriptor xmlns=\"http://www.opengis.net/sld\" "
                       "xmlns:se=\"http://www.opengis.net/se\" "
                       "xmlns:ogc=\"http://www.opengis.net/ogc\" version=\"1.1.0\">\n"
                       "<NamedLayer><se:Name>{0}</se:Name><UserStyle><se:FeatureTypeStyle>\n{1}"
                       "</se:FeatureTypeStyle></UserStyle></NamedLayer></StyledLayerDescriptor>\n",
                       layer, list);
}

} // namespace

LayerStyle style_of(const std::string& layer, bool points, const std::vector<GpkgField>& fields)
{
    const LayerDrawing drawing = drawing_of(layer, points, fields);
    std::string qml{qml_begin};
    qml += fmt::format("<qgis version=\"3.22.0\" styleCategories=\"Symbology|Fields|Labeling\" "
                       "labelsEnabled=\"{}\">\n",
                       drawing.name_column.empty() ? 0 : 1);
    qml += renderer(drawing, points) + labelling(drawing, points) + aliases(fields) + "</qgis>\n";
    return {std::move(qml), sld_of(layer, drawing, points)};
}

} // namespace fuelring
