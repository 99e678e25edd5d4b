// SPDX-License-Identifier: Apache-2.0
// The map: Leaflet on a plane in metres, without anything from outside.

/// Up to so many shapes are drawn as SVG, which prints in full; more on a canvas, which is faster.
const mostSvgShapes = 3000;

/// `act`: {building(i), unit(u)}, called when one is picked.
class CommunityMap {
  constructor(host, data, scale, act) {
    this.data = data;
    this.scale = scale;
    this.act = act;
    this.layers = []; // {name, layer}, from below
    this.buildings = [];
    this.merged = []; // areas whose figures are told together
    this.exposures = data.structures ? data.structures.exposure : [];
    this.middles = middlesOf(data.structures ? data.structures.shape : []);
    this.build(host);
  }

  build(host) {
    const keys = "Arrow keys move it, plus and minus zoom" +
      (this.data.structures ? ", Enter picks the building nearest to the cross in the middle." : ".");
    this.area = element("div", { class: "map-area", role: "application", "aria-label": "Map of the community. " + keys });
    this.switches = element("fieldset", { class: "switches" }, element("legend", {}, "Show"));
    this.legend = element("div", { class: "legend" });
    host.append(this.area);
    document.getElementById("map-controls").append(this.switches, this.legend);
    host.hidden = document.getElementById("map-controls").hidden = false;
    this.isLarge = this.middles.x.length + (this.data.units ? this.data.units.shape.length : 0) > mostSvgShapes;
    this.area.classList.toggle("low-on-paper", !this.isLarge);
    this.credits = element("div", { class: "credits" });
    this.area.append(this.credits);
    this.map = L.map(this.area, { crs: L.CRS.Simple, attributionControl: false,
      renderer: this.isLarge ? new MapCanvas() : new MapSvg(),
      zoomSnap: 0.25, zoomDelta: 1, minZoom: -8, maxZoom: 5, zoomAnimation: false });
    L.control.scale({ imperial: false }).addTo(this.map);
    this.map.createPane("below").style.zIndex = 340; // what a town puts below its map
    this.map.createPane("ground").style.zIndex = 350; // pictures below all shapes
    this.colours = mapColours();
    addLayers(this);
    this.legend.append(...legendOf(this));
    this.map.fitBounds(this.boxOfMeasured().pad(0.02));
    this.map.setMaxBounds(this.boxAround(() => true).pad(0.02).pad(1));
    this.names = new MapNames(this);
    this.followTheme();
    this.printInFull();
    this.heedKeys();
    new ResizeObserver(() => this.map.invalidateSize({ animate: false, pan: false })).observe(this.area);
  }

  /// The outline of building `i`.
  loopsOf(i) {
    return loopsOf(this.data.structures.shape[i]);
  }

  /// The patches, made when they are first asked for: there may be thousands, of thousands of corners.
  get units() {
    return (this.madeUnits ??= (this.data.units ? this.data.units.shape : []).map((shape, u) => unitOf(this, shape, u)));
  }

  /// Adds a layer on top, with a switch.
  addLayer(name, layer, shown) {
    const box = element("input", { type: "checkbox" });
    box.checked = shown;
    box.addEventListener("change", () => {
      if (box.checked) layer.addTo(this.map);
      else layer.remove();
      this.keepOrder();
    });
    this.switches.append(element("label", {}, box, name));
    this.layers.push({ name, layer, box });
    if (shown) layer.addTo(this.map);
  }

  /// Switches a layer on.
  show(name) {
    const found = this.layers.find((l) => l.name === name);
    if (found && !found.box.checked) found.box.click();
  }

  isShown(name) {
    return this.layers.some((l) => l.name === name && this.map.hasLayer(l.layer));
  }

  /// Layers that were switched on again go back between their neighbours: the one of most parts stays
  /// where it is, the others go behind it and before it.
  keepOrder() {
    const shown = this.layers.filter(({ layer }) => this.map.hasLayer(layer))
      .map(({ layer }) => (layer.getLayers ? layer.getLayers() : [layer]).filter((part) => part.bringToFront));
    const largest = shown.reduce((most, parts, k) => (parts.length > shown[most].length ? k : most), 0);
    for (const parts of shown.slice(0, largest).reverse())
      for (const part of parts.reverse()) part.bringToBack();
    for (const parts of shown.slice(largest + 1))
      for (const part of parts) part.bringToFront();
    if (this.chosen) this.chosen.bringToFront();
  }

  /// Around what has figures, so that a building off the vegetation map does not shrink the rest;
  /// around everything where nothing has.
  boxOfMeasured() {
    const measured = this.boxAround((part) => part.isMeasured);
    return measured.isValid() ? measured : this.boxAround(() => true);
  }

  boxAround(test) {
    let [south, west, north, east] = [Infinity, Infinity, -Infinity, -Infinity];
    for (const part of [...this.buildings, ...this.merged, ...this.areas.getLayers()]) {
      if (!test(part)) continue;
      const box = part.getBounds();
      [south, west] = [Math.min(south, box.getSouth()), Math.min(west, box.getWest())];
      [north, east] = [Math.max(north, box.getNorth()), Math.max(east, box.getEast())];
    }
    return L.latLngBounds(south > north ? [] : [[south, west], [north, east]]);
  }

  /// Marks a building and moves the map to it.
  choose(i, zoom) {
    this.unmark();
    this.chosen = this.buildings[i];
    this.chosen.setStyle({ color: this.colours.chosen, weight: 4 });
    this.chosen.bringToFront();
    if (zoom) this.map.fitBounds(this.chosen.getBounds().pad(4), { maxZoom: 2, animate: false });
  }

  unmark() {
    if (this.chosen) this.chosen.setStyle(this.chosen.styleOf());
    this.chosen = null;
  }

  /// Colours buildings by other exposures than the run's; null: by the run's.
  showExposures(exposures) {
    this.exposures = exposures || this.data.structures.exposure;
    for (const building of this.buildings) {
      const { fillColor } = building.styleOf();
      if (fillColor !== building.options.fillColor) building.setStyle({ fillColor });
    }
  }

  goTo(bounds, maxZoom) {
    this.map.fitBounds(bounds, { animate: false, maxZoom });
  }

  /// The place in the middle of the window, [y, x].
  centre() {
    const { lat, lng } = this.map.getCenter();
    return [lat, lng];
  }

  /// A cross in the middle while the keyboard is on the map; Enter picks what is nearest to it.
  heedKeys() {
    this.area.append(element("div", { class: "cross", "aria-hidden": "true" }));
    this.area.addEventListener("keydown", (event) => {
      if (event.target !== this.area || event.key !== "Enter" || this.isDrawing || this.middles.x.length === 0) return;
      event.preventDefault();
      this.act.building(nearestOf(this.middles, this.centre()).i);
    });
  }

  /// On paper the map is lower: what was seen is fitted to it, and comes back afterwards. (A canvas
  /// has become a picture by then.)
  fitPaper(isPaper) {
    if (isPaper) this.remember();
    this.map.invalidateSize({ animate: false });
    if (this.isLarge || !this.seen) return;
    if (isPaper) this.map.fitBounds(this.seen.bounds, { animate: false });
    else this.map.setView(this.seen.centre, this.seen.zoom, { animate: false });
    if (!isPaper) this.seen = null;
    this.names.place(); // there is no frame to wait for before paper
  }

  remember() {
    this.seen ??= { bounds: this.map.getBounds(), centre: this.map.getCenter(), zoom: this.map.getZoom() };
  }

  /// A canvas is printed with a white ground that would hide what is below: paper gets its picture.
  printInFull() {
    let pictures = [];
    addEventListener("beforeprint", () => {
      this.remember();
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

  /// The map follows the theme, and is light on paper.
  followTheme() {
    const restyle = () => {
      this.colours = mapColours();
      for (const { layer } of this.layers) {
        if (layer.recolour) layer.recolour();
        for (const part of layer.getLayers ? layer.getLayers() : [])
          if (part.styleOf)
            part.setStyle(part === this.chosen ? { ...part.styleOf(), color: this.colours.chosen, weight: 4 } : part.styleOf());
      }
    };
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", restyle);
    const paper = matchMedia("print");
    paper.addEventListener("change", () => {
      restyle();
      this.fitPaper(paper.matches);
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
