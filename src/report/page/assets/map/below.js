// SPDX-License-Identifier: Apache-2.0
// What a town puts below its map: a picture, and streets, water and the like.

/// [weight in pixels, dashes] of lines, by kind.
const contextLines = { streets: [3, null], paths: [1.5, "2 3"], railway: [2, "7 4"], water: [2.5, null] };

/// The picture and whose it is, which stands on the map for as long as the picture does.
function backdropOf(map, backdrop) {
  const [west, south, east, north] = backdrop.box;
  return withCredit(map, backdrop.credit,
    L.imageOverlay(backdrop.image, [[south, west], [north, east]], { alt: "", interactive: false, pane: "below" }));
}

/// Lines are one path for each kind, so that ten thousand streets are drawn as fast as one.
function contextOf(map, context) {
  const common = { renderer: map.isLarge ? L.canvas({ pane: "below" }) : L.svg({ pane: "below" }), pane: "below", interactive: false };
  const shapes = context.layers.flatMap(({ kind, lines, areas }) => {
    const [weight, dashArray] = contextLines[kind];
    return [...areas.map((area) => L.polygon(loopsOf(area), { ...common, kind, stroke: false, fillOpacity: 1, fillRule: "evenodd" })),
      ...(lines.length > 0 ? [L.polyline(loopsOf(lines), { ...common, kind, weight, dashArray })] : [])];
  });
  for (const shape of shapes) {
    shape.styleOf = () => {
      const colour = shape.options.kind === "water" ? map.colours.water : map.colours.street;
      return { color: colour, fillColor: colour };
    };
    shape.setStyle(shape.styleOf());
  }
  return withCredit(map, context.credit, L.layerGroup(shapes));
}

function withCredit(map, credit, layer) {
  if (!credit) return layer;
  const words = element("p", {}, dataText(credit));
  layer.on("add", () => map.credits.append(words));
  layer.on("remove", () => words.remove());
  return layer;
}

/// What the legend and the switch of the layer call them.
const contextNames = { streets: "street", paths: "path", railway: "railway", water: "water" };

function kindsOf(context) {
  return Object.keys(contextNames).filter((kind) => context.layers.some((layer) => layer.kind === kind));
}

/// "Streets, water"
function contextTitle(context) {
  const words = kindsOf(context).map((kind) => (kind === "railway" ? "railways" : kind)).join(", ");
  return words[0].toUpperCase() + words.slice(1);
}

function contextSample(kind) {
  const sample = svgElement("svg", { class: "swatch", viewBox: "0 0 10 10", "aria-hidden": "true" });
  sample.append(kind === "water" ? svgElement("rect", { x: 0, y: 0, width: 10, height: 10, class: "context-water" })
    : svgElement("line", { x1: 0, y1: 5, x2: 10, y2: 5, class: "context-street", "stroke-width": kind === "streets" ? 3 : 1.5,
      "stroke-dasharray": { paths: "1.5 1.5", railway: "4 2" }[kind] }));
  return sample;
}
