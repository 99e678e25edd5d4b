// SPDX-License-Identifier: Apache-2.0

// A style is a list of rules: a label, a condition on one column, a colour. The same list is
// written in QML and in SLD. Classes are fixed, so that two communities look alike where they are
// alike.
#include "io/geopackage/layer_style.hpp"

#include "base/cividis.hpp"
#include "base/markup.hpp"
#include "exposure/exposure_classes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

namespace fuelring {

namespace {

/// Lower ends of the classes of exposure, as on the page; the last ends at 100.
constexpr const auto& classes = exposure_classes;
/// The first of these that a layer has is what it is drawn by.
constexpr std::array<std::string_view, 3> drawn_by{"exposure", "mean_exposure", "exposure_after"};
constexpr double most_exposure = 100;
constexpr const char* unknown_grey = "#9a9a9a";
constexpr const char* outline_grey = "#404040";

struct Rule {
    std::string label;
    std::string column; ///< empty: everything
    double from = 0, to = 0;
    std::string colour;
    bool unknown = false; ///< hatched
};

std::string hex(const report::Colour& c)
{
    const auto part = [](double share) { return static_cast<int>(std::lround(255 * share)); };
    return fmt::format("#{:02x}{:02x}{:02x}", part(c.red), part(c.green), part(c.blue));
}

std::string escaped(std::string_view text)
{
    return markup_text(text, [](std::string_view c) -> std::string_view {
        return is_control(c) ? " " : c; // XML has no other control characters
    });
}

std::vector<Rule> rules_of(const std::string& layer, const std::vector<GpkgField>& fields)
{
    for (const std::string_view column : drawn_by) {
        if (std::none_of(fields.begin(), fields.end(),
                         [column](const GpkgField& field) { return field.name == column; }))
            continue;
        std::vector<Rule> rules;
        for (std::size_t k = 0; k < classes.size(); ++k) {
            const bool last = k + 1 == classes.size();
            const double to = last ? most_exposure : classes[k + 1];
            const double share = static_cast<double>(k) / static_cast<double>(classes.size() - 1);
            rules.push_back({last ? fmt::format("{} to {}", classes[k], to)
                                  : fmt::format("{} to below {}", classes[k], to),
                             std::string{column}, classes[k], last ? to + 1 : to,
                             hex(report::cividis(share)), false});
        }
        rules.push_back({"unmapped, not known", std::string{column}, 0, 0, unknown_grey, true});
        return rules;
    }
    return {{layer, {}, 0, 0, outline_grey, false}};
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

std::string outline_options(std::string_view colour)
{
    return option("outline_color", colour) + option("outline_width", "0.2") +
           option("outline_width_unit", "MM") + option("outline_style", "solid");
}

std::string point_layer(const Rule& rule)
{
    return symbol_layer("SimpleMarker", option("name", rule.unknown ? "cross2" : "circle") +
                                            option("color", rule.colour) + option("size", "2.2") +
                                            option("size_unit", "MM") +
                                            outline_options(outline_grey));
}

std::string polygon_layer(const Rule& rule, std::size_t number)
{
    const std::string outline = outline_options(outline_grey);
    if (!rule.unknown)
        return symbol_layer("SimpleFill",
                            option("color", rule.colour) +
                                option("style", rule.column.empty() ? "no" : "solid") + outline);
    const std::string line =
        symbol_layer("SimpleLine", option("line_color", rule.colour) + option("line_width", "0.3") +
                                       option("line_width_unit", "MM"));
    return symbol_layer("LinePatternFill",
                        option("angle", "45") + option("distance", "1") +
                            option("distance_unit", "MM"),
                        fmt::format("<symbol name=\"@{}@0\" type=\"line\" alpha=\"1\">{}</symbol>",
                                    number, line)) +
           symbol_layer("SimpleFill", option("style", "no") + outline);
}

std::string condition(const Rule& rule)
{
    if (rule.unknown)
        return fmt::format("\"{}\" IS NULL", rule.column);
    return fmt::format("\"{0}\" >= {1} AND \"{0}\" < {2}", rule.column, rule.from, rule.to);
}

std::string renderer(const std::vector<Rule>& rules, bool points)
{
    std::string symbols;
    std::string list;
    for (std::size_t k = 0; k < rules.size(); ++k) {
        symbols += fmt::format("<symbol name=\"{}\" type=\"{}\" alpha=\"1\" clip_to_extent=\"1\">"
                               "{}</symbol>\n",
                               k, points ? "marker" : "fill",
                               points ? point_layer(rules[k]) : polygon_layer(rules[k], k));
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

std::string aliases(const std::vector<GpkgField>& fields)
{
    std::string list;
    for (std::size_t k = 0; k < fields.size(); ++k) // index 0 is the row's number
        list += fmt::format("<alias field=\"{}\" index=\"{}\" name=\"{}\"/>\n",
                            escaped(fields[k].name), k + 1, escaped(fields[k].alias));
    return "<aliases>\n" + list + "</aliases>\n";
}

constexpr std::string_view qml_begin =
    "<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>\n";

// SLD

std::string sld_condition(const Rule& rule)
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

std::string sld_fill(const Rule& rule)
{
    if (rule.column.empty())
        return {};
    const std::string colour =
        fmt::format("<se:SvgParameter name=\"fill\">{}</se:SvgParameter>", rule.colour);
    if (!rule.unknown)
        return "<se:Fill>" + colour + "</se:Fill>";
    return fmt::format("<se:Fill><se:GraphicFill><se:Graphic><se:Mark><se:WellKnownName>x"
                       "</se:WellKnownName><se:Fill>{}</se:Fill></se:Mark><se:Size>6</se:Size>"
                       "</se:Graphic></se:GraphicFill></se:Fill>",
                       colour);
}

std::string sld_symbol(const Rule& rule, bool points)
{
    const std::string stroke = fmt::format("<se:Stroke><se:SvgParameter name=\"stroke\">{}"
                                           "</se:SvgParameter></se:Stroke>",
                                           outline_grey);
    if (!points)
        return fmt::format("<se:PolygonSymbolizer>{}{}</se:PolygonSymbolizer>", sld_fill(rule),
                           stroke);
    return fmt::format("<se:PointSymbolizer><se:Graphic><se:Mark><se:WellKnownName>{}"
                       "</se:WellKnownName><se:Fill><se:SvgParameter name=\"fill\">{}"
                       "</se:SvgParameter></se:Fill>{}</se:Mark><se:Size>8</se:Size></se:Graphic>"
                       "</se:PointSymbolizer>",
                       rule.unknown ? "x" : "circle", rule.colour, stroke);
}

std::string sld_of(const std::string& layer, const std::vector<Rule>& rules, bool points)
{
    std::string list;
    for (const Rule& rule : rules)
        list += fmt::format("<se:Rule><se:Name>{0}</se:Name>{1}{2}</se:Rule>\n",
                            escaped(rule.label), sld_condition(rule), sld_symbol(rule, points));
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
    const std::vector<Rule> rules = rules_of(layer, fields);
    std::string qml{qml_begin};
    qml += "<qgis version=\"3.22.0\" styleCategories=\"Symbology|Fields\">\n";
    qml += renderer(rules, points) + aliases(fields) + "</qgis>\n";
    return {std::move(qml), sld_of(layer, rules, points)};
}

std::string surface_style(double most)
{
    // A few cells are worth far more than most: each class reaches twice as far as the one before.
    constexpr int steps = 8;
    const double top = most > 0 ? most : 1;
    std::string items =
        "<item value=\"0\" color=\"#ffffff\" alpha=\"0\" label=\"nothing to save\"/>\n";
    for (int k = 0; k <= steps; ++k) {
        const double to = std::ldexp(top, k - steps);
        const double from = k == 0 ? 0 : std::ldexp(top, k - 1 - steps);
        items += fmt::format("<item value=\"{}\" color=\"{}\" alpha=\"255\" label=\"{}\"/>\n",
                             k == steps ? "inf" : fmt::format("{:.6g}", to),
                             hex(report::cividis(static_cast<double>(k) / steps)),
                             k == steps ? fmt::format("above {:.2g}", from)
                                        : fmt::format("{:.2g} to {:.2g}", from, to));
    }
    return fmt::format("{}<qgis version=\"3.22.0\" styleCategories=\"Symbology\">\n<pipe>\n"
                       "<rasterrenderer type=\"singlebandpseudocolor\" band=\"1\" opacity=\"1\" "
                       "alphaBand=\"-1\" classificationMin=\"0\" classificationMax=\"{:.6g}\">\n"
                       "<rastershader><colorrampshader colorRampType=\"DISCRETE\" "
                       "classificationMode=\"1\" clip=\"0\">\n{}</colorrampshader></rastershader>\n"
                       "</rasterrenderer>\n</pipe>\n</qgis>\n",
                       qml_begin, top, items);
}

} // namespace fuelring
