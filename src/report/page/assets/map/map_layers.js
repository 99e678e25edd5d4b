// SPDX-License-Identifier: Apache-2.0
// The layers of the map, from below: the town's own picture and lines, unmapped ground, gain, neighbourhoods, patches, buildings. A
// part that has colours has `styleOf()`, which gives them in the theme that is on.

function addLayers(map) {
  const { surface, neighbourhoods, units, structures, backdrop, context } = map.data;
  if (backdrop) map.addLayer("Backdrop", backdropOf(map, backdrop), true);
  if (context) map.addLayer(contextTitle(context), contextOf(map, context), true);
  if (surface && surface.unmapped)
    map.addLayer("Unmapped ground", groundPicture(map, surface.unmapped), true);
  if (surface && surface.points)
    map.addLayer("Gain from clearing", gainPicture(map, surface.points), true);
  const merged = neighbourhoods.find((row) => row.hatched && row.hatched.length > 0);
  if (merged) {
    map.merged = [hatchedArea(map, merged)];
    map.addLayer("Counted together", L.layerGroup(map.merged), true);
  }
  map.areas = L.layerGroup(neighbourhoods.map((row) => areaOf(map, row)).filter(Boolean));
  if (map.areas.getLayers().length > 0) map.addLayer("Neighbourhoods", map.areas, true);
  if (units) map.addLayer("Patches to clear", new UnitLayer(map), false);
  if (structures) {
    map.buildings = structures.shape.map((_, i) => new HomePolygon(map, i));
    // The most exposed on top, whatever their order in the file.
    const order = map.buildings.map((_, i) => i)
      .sort((a, b) => (structures.exposure[a] ?? -1) - (structures.exposure[b] ?? -1));
    map.addLayer("Buildings", new HomeLayer(order.map((i) => map.buildings[i])), true);
  }
}

function groundPicture(map, source) {
  return pictureOver(map.data.surface.box, source, "pixels");
}

function pictureOver([west, south, east, north], source, className) {
  return L.imageOverlay(source, [[south, west], [north, east]],
    { alt: "", className, interactive: false, pane: "ground" });
}

/// The picture of the gain has the colours of a light page: others are put into its palette.
function gainPicture(map, source) {
  const coloured = () => (map.colours.ground === "#ffffff" ? source : withPalette(source, map.colours.gain));
  const layer = groundPicture(map, coloured());
  layer.recolour = () => layer.setUrl(coloured());
  return layer;
}

/// A PNG whose colours 1, 2, ... are these. Its palette (the chunk PLTE, with its checksum) stands in
/// the first kilobytes, so the rest is left in base 64.
function withPalette(source, colours) {
  const comma = source.indexOf(",") + 1;
  const head = atob(source.slice(comma, comma + 4096));
  const at = head.indexOf("PLTE");
  if (at < 0) return source;
  const bytes = Uint8Array.from(head, (c) => c.charCodeAt(0));
  const length = new DataView(bytes.buffer).getUint32(at - 4);
  colours.forEach((colour, k) => {
    for (let part = 0; part < 3; ++part)
      bytes[at + 4 + 3 * (k + 1) + part] = parseInt(colour.slice(1 + 2 * part, 3 + 2 * part), 16);
  });
  new DataView(bytes.buffer).setUint32(at + 4 + length, crc32(bytes.subarray(at, at + 4 + length)));
  return source.slice(0, comma) + btoa(String.fromCharCode(...bytes)) + source.slice(comma + 4096);
}

/// The checksum of a PNG's chunk (ISO 3309).
function crc32(bytes) {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let k = 0; k < 8; ++k) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return (crc ^ 0xffffffff) >>> 0;
}

/// Outline and name where buildings are shown; filled by its mean on a public page.
function areaOf(map, row) {
  if (!row.shape || row.shape.length === 0) return null;
  const open = map.data.structures !== undefined;
  const area = L.polygon(loopsOf(row.shape), { interactive: false, fillRule: "evenodd", weight: 2,
    fill: !open && row.mean !== null, fillOpacity: 0.85 });
  area.styleOf = () => ({ color: map.colours.area,
    fillColor: row.mean === null ? undefined : map.colours.exposure[map.scale.classOf(row.mean)] });
  area.setStyle(area.styleOf());
  // Where buildings are shown an area may reach far beyond those of it that are measured.
  area.isMeasured = row.measured > 0 && (!open || row.measured === row.structures);
  row.layer = area;
  return area;
}

/// Neighbourhoods of which the public sees only the figures of all together.
function hatchedArea(map, row) {
  map.area.append(hatchPattern());
  const area = L.polygon(loopsOf(row.hatched), { interactive: false, fillRule: "evenodd", weight: 1, fillOpacity: 1, fillColor: "url(#hatch-fill)" });
  area.isMeasured = true; // together with others
  area.styleOf = () => ({ color: map.colours.area });
  area.setStyle(area.styleOf());
  return area;
}

function hatchPattern() {
  const pattern = svgElement("pattern", { id: "hatch-fill", width: 8, height: 8, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
    svgElement("line", { x1: 4, x2: 4, y1: 0, y2: 8, class: "hatch" }));
  return svgElement("svg", { width: 0, height: 0, "aria-hidden": "true" }, svgElement("defs", {}, pattern));
}

/// Takes the patches in when it is first switched on.
const UnitLayer = L.LayerGroup.extend({
  initialize(map) {
    L.LayerGroup.prototype.initialize.call(this);
    this.owner = map;
  },
  onAdd(leaflet) {
    if (this.getLayers().length === 0) for (const unit of this.owner.units) this.addLayer(unit);
    L.LayerGroup.prototype.onAdd.call(this, leaflet);
  },
});

const unitOpacity = 0.35; // light, so that the ground below is still seen

function unitOf(map, shape, u) {
  const unit = L.polygon(loopsOf(shape), { weight: 1, fillOpacity: unitOpacity, fillRule: "evenodd", bubblingMouseEvents: false });
  unit.styleOf = () => ({ color: map.colours.unit, fillColor: map.colours.unit });
  unit.setStyle(unit.styleOf());
  unit.on("click", () => map.act.unit(u));
  return unit;
}
