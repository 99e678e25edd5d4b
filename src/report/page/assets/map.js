// SPDX-License-Identifier: Apache-2.0
// The map: Leaflet on a plane in metres, without anything from outside. Its layers, in their order
// from below: unmapped ground, surface, neighbourhoods, treatment units, buildings.

/// Up to so many shapes are drawn as SVG, which prints in full; more on a canvas, which is faster.
const mostSvgShapes = 3000;

/// So many neighbourhoods carry their names; of more the pointer tells them, or names would overlap.
const mostNames = 15;

class CommunityMap {
  constructor(host, data, scale, onBuilding) {
    this.data = data;
    this.scale = scale;
    this.onBuilding = onBuilding;
    this.layers = [];
    this.buildings = [];
    this.build(host);
  }

  build(host) {
    this.area = element("div", { class: "map-area", role: "application",
      "aria-label": "Map of the community. Arrow keys move it, plus and minus zoom." });
    this.switches = element("fieldset", { class: "switches" }, element("legend", {}, "Show"));
    this.legend = element("div", { class: "legend" });
    host.append(this.area, this.switches, this.legend);
    host.hidden = false;
    const shapes = (this.data.structures ? this.data.structures.shape.length : 0) +
      (this.data.units ? this.data.units.shape.length : 0);
    this.map = L.map(this.area, { crs: L.CRS.Simple, attributionControl: false,
      renderer: shapes > mostSvgShapes ? L.canvas() : L.svg(),
      zoomSnap: 0.25, zoomDelta: 1, minZoom: -8, maxZoom: 5, zoomAnimation: false });
    L.control.scale({ imperial: false }).addTo(this.map);
    this.map.createPane("ground").style.zIndex = 350; // pictures below all shapes
    this.readColours();
    this.addLayers();
    this.map.fitBounds(this.boxOfMeasured().pad(0.02));
    this.map.setMaxBounds(this.boxAround(() => true).pad(0.02).pad(1));
    this.followTheme();
    this.printInFull();
  }

  addLayers() {
    const { surface, neighbourhoods, units, structures } = this.data;
    if (surface && surface.unmapped)
      this.addLayer("Unmapped ground", this.image(surface.unmapped), true);
    if (surface && surface.points)
      this.addLayer("Gain from clearing", this.image(surface.points), true);
    this.areas = L.layerGroup(neighbourhoods.map((row) => this.areaOf(row)).filter(Boolean));
    if (this.areas.getLayers().length > 0) this.addLayer("Neighbourhoods", this.areas, true);
    if (units)
      this.addLayer("Patches to clear", L.layerGroup(units.shape.map((shape) => this.unitOf(shape))),
        false);
    if (structures) {
      this.buildings = structures.shape.map((shape, i) => this.buildingOf(shape, i));
      this.addLayer("Buildings", L.layerGroup(this.buildings), true);
    }
    this.fillLegend();
  }

  image(source) {
    const [west, south, east, north] = this.data.surface.box;
    return L.imageOverlay(source, [[south, west], [north, east]],
      { alt: "", className: "pixels", interactive: false, pane: "ground" });
  }

  areaOf(row) {
    if (!row.shape || row.shape.length === 0) return null;
    const open = this.data.structures !== undefined; // buildings show the colours there
    const colour = this.scale.colourOf(row.mean);
    const area = L.polygon(loopsOf(row.shape), { interactive: !open, fillRule: "evenodd",
      fill: !open && colour !== null, fillColor: colour, fillOpacity: 0.85, weight: 1.5 });
    area.styleOf = () => ({ color: this.colours.area, dashArray: open ? "6 4" : null });
    area.setStyle(area.styleOf());
    if (!open)
      area.bindTooltip(element("span", {}, dataText(row.name), ": " + figure(row.mean, 1)),
        { permanent: this.data.neighbourhoods.length <= mostNames, direction: "center", className: "area-name" });
    // Where buildings are shown an area may reach far beyond those of it that are measured.
    area.isMeasured = row.measured > 0 && (!open || row.measured === row.structures);
    row.layer = area;
    return area;
  }

  unitOf(shape) {
    const unit = L.polygon(loopsOf(shape), { interactive: false, weight: 1.5, fill: false });
    unit.styleOf = () => ({ color: this.colours.unit });
    unit.setStyle(unit.styleOf());
    return unit;
  }

  buildingOf(shape, i) {
    const colour = this.scale.colourOf(this.data.structures.exposure[i]);
    const building = L.polygon(loopsOf(shape), { weight: 1, fillColor: colour, fill: colour !== null,
      fillOpacity: 1, fillRule: "evenodd", dashArray: colour === null ? "3 2" : null,
      bubblingMouseEvents: false });
    building.styleOf = () => ({ color: this.colours.building, weight: 0.7 });
    building.setStyle(building.styleOf());
    building.isMeasured = colour !== null;
    building.on("click", () => this.onBuilding(i));
    return building;
  }

  addLayer(name, layer, shown) {
    const box = element("input", { type: "checkbox" });
    box.checked = shown;
    box.addEventListener("change", () => {
      if (box.checked) layer.addTo(this.map);
      else layer.remove();
      this.keepOrder();
    });
    this.switches.append(element("label", {}, box, name));
    this.layers.push(layer);
    if (shown) layer.addTo(this.map);
  }

  /// Layers that were switched on again go back between their neighbours.
  keepOrder() {
    for (const layer of this.layers)
      if (this.map.hasLayer(layer))
        for (const part of layer.getLayers ? layer.getLayers() : [layer]) part.bringToFront();
    if (this.chosen) this.chosen.bringToFront();
  }

  fillLegend() {
    const { surface, structures, neighbourhoods } = this.data;
    const classes = (title, names, colours, opacities) => element("div", {},
      element("h3", {}, title), element("ul", {}, ...names.map((name, k) => {
        const square = swatch(colours[k]);
        if (opacities) square.firstChild.setAttribute("fill-opacity", opacities[k]);
        return element("li", {}, square, name);
      })));
    const exposures = this.scale.from.map((_, k) => this.scale.nameOf(k));
    const colours = [...this.scale.colours];
    if (structures ? structures.exposure.includes(null) : neighbourhoods.some((row) => row.mean === null)) {
      exposures.push("not measured (unknown)");
      colours.push(null);
    }
    this.legend.append(classes(structures ? "Exposure of a building" : "Mean exposure", exposures,
      colours));
    if (surface && surface.classes.length > 0) {
      const from = surface.classes.map((c) => c.from);
      this.legend.append(classes("Gain from clearing 1 m² (points of total exposure)",
        from.map((_, k) => rangeName(from, k)), surface.classes.map((c) => c.colour),
        surface.classes.map((c) => c.opacity)));
    }
    if (surface && surface.unmapped)
      this.legend.append(element("p", { class: "hatch-key" }, hatchSample(),
        "Not mapped (unknown, not zero)"));
  }

  /// Around what has figures, so that a building off the vegetation map does not shrink the rest;
  /// around everything where nothing has.
  boxOfMeasured() {
    const measured = this.boxAround((part) => part.isMeasured);
    return measured.isValid() ? measured : this.boxAround(() => true);
  }

  boxAround(test) {
    const box = L.latLngBounds([]);
    for (const part of [...this.buildings, ...this.areas.getLayers()])
      if (test(part)) box.extend(part.getBounds());
    return box;
  }

  /// Marks a building and moves the map to it.
  choose(i, zoom) {
    if (this.chosen) this.chosen.setStyle(this.chosen.styleOf());
    this.chosen = this.buildings[i];
    this.chosen.setStyle({ color: this.colours.chosen, weight: 4 });
    this.chosen.bringToFront();
    if (zoom) this.map.fitBounds(this.chosen.getBounds().pad(4), { maxZoom: 2, animate: false });
  }

  goTo(bounds) {
    this.map.fitBounds(bounds, { animate: false });
  }

  readColours() {
    const style = getComputedStyle(document.documentElement);
    const colour = (name) => style.getPropertyValue("--map-" + name).trim();
    this.colours = { area: colour("area"), unit: colour("unit"), building: colour("building"),
      chosen: colour("chosen") };
  }

  /// A canvas is printed with a white ground that would hide what is below: paper gets its picture.
  printInFull() {
    let pictures = [];
    addEventListener("beforeprint", () => {
      pictures = [...this.area.querySelectorAll("canvas")].map((canvas) => {
        const picture = pictureOf(canvas);
        canvas.before(picture);
        canvas.hidden = true;
        return { picture, canvas };
      });
    });
    addEventListener("afterprint", () => {
      for (const { picture, canvas } of pictures) {
        picture.remove();
        canvas.hidden = false;
      }
      pictures = [];
    });
  }

  /// Lines of the map follow the theme, and ink on paper.
  followTheme() {
    const restyle = () => {
      this.readColours();
      for (const group of this.layers)
        for (const part of group.getLayers ? group.getLayers() : [])
          part.setStyle(part === this.chosen ? { color: this.colours.chosen } : part.styleOf());
    };
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", restyle);
    matchMedia("print").addEventListener("change", () => {
      restyle();
      this.map.invalidateSize({ animate: false });
    });
  }
}

function pictureOf(canvas) {
  const picture = element("img", { alt: "", class: canvas.className });
  picture.src = canvas.toDataURL();
  picture.style.transform = canvas.style.transform;
  picture.style.width = canvas.style.width;
  picture.style.height = canvas.style.height;
  return picture;
}

/// Loops of a shape of the data (decimetres, each vertex relative to the one before it) as points in
/// metres, y north first, as Leaflet has them.
function loopsOf(shape) {
  return shape.map((steps) => {
    const points = [];
    let x = 0;
    let y = 0;
    for (let k = 0; k < steps.length; k += 2) {
      x += steps[k];
      y += steps[k + 1];
      points.push([y / 10, x / 10]);
    }
    return points;
  });
}

function hatchSample() {
  const sample = svgElement("svg", { class: "swatch", viewBox: "0 0 10 10", "aria-hidden": "true" });
  for (const x of [-6, -2, 2, 6])
    sample.append(svgElement("line", { x1: x, y1: 10, x2: x + 10, y2: 0, class: "hatch" }));
  return sample;
}
