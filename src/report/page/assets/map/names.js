// SPDX-License-Identifier: Apache-2.0
// Names of neighbourhoods and numbers of patches on the map, where they cover the fewest buildings
// and no other name. A name that finds no room in its area is left out until one zooms in.

const mostJudged = 1500; // buildings that a name tries not to cover
const unitsNumberedFrom = 0.5; // zoom

class MapNames {
  constructor(map) {
    this.map = map;
    this.host = element("div", { class: "names", "aria-hidden": "true" });
    map.area.append(this.host);
    this.rows = map.data.neighbourhoods.filter((row) => row.layer);
    const step = Math.max(1, Math.ceil(map.middles.x.length / mostJudged));
    this.judged = map.buildings.filter((_, i) => i % step === 0).map((building) => building.getBounds());
    map.map.on("moveend zoomend resize layeradd layerremove", () => this.soon());
    this.soon();
  }

  soon() {
    this.frame ??= requestAnimationFrame(() => {
      this.frame = null;
      this.place();
    });
  }

  place() {
    const { map } = this.map;
    const size = map.getSize();
    this.taken = this.controls();
    this.host.replaceChildren();
    const shown = map.hasLayer(this.map.areas) ? this.rows : [];
    const homes = this.judged.map((box) => {
      const [low, high] = [box.getSouthWest(), box.getNorthEast()].map((at) => map.latLngToContainerPoint(at));
      return { x: low.x - 3, y: high.y - 3, w: high.x - low.x + 6, h: low.y - high.y + 6 };
    }).filter((home) => overlap(home, { x: 0, y: 0, w: size.x, h: size.y }));
    const bySize = [...shown].sort((a, b) => this.extent(b) - this.extent(a));
    const labels = bySize.map((row) => this.labelOf(row));
    this.host.append(...labels);
    const sizes = labels.map((label) => [label.offsetWidth + 4, label.offsetHeight + 2]); // one layout for all
    bySize.forEach((row, k) => this.name(row, labels[k], sizes[k], homes, size));
    if (this.map.data.units && map.getZoom() >= unitsNumberedFrom) this.number(size);
  }

  /// What stands on the map already: buttons, scale and credits.
  controls() {
    const frame = this.map.area.getBoundingClientRect();
    return [...this.map.area.querySelectorAll(".leaflet-control, .credits p")].map((control) => {
      const box = control.getBoundingClientRect();
      return { x: box.left - frame.left, y: box.top - frame.top, w: box.width, h: box.height };
    });
  }

  extent(row) {
    const box = row.layer.getBounds();
    return (box.getNorth() - box.getSouth()) * (box.getEast() - box.getWest());
  }

  labelOf(row) {
    const words = this.map.data.structures ? [dataText(row.name)]
      : [dataText(row.name), ": " + figure(row.mean, 1)];
    return element("span", { class: "map-name" }, ...words);
  }

  /// Tries places of a pattern over the part of the area that is seen.
  name(row, label, [w, h], homes, size) {
    const box = row.layer.getBounds();
    const low = this.map.map.latLngToContainerPoint(box.getSouthWest());
    const high = this.map.map.latLngToContainerPoint(box.getNorthEast());
    const [left, right] = [Math.max(low.x, w / 2), Math.min(high.x, size.x - w / 2)];
    const [top, bottom] = [Math.max(high.y, h / 2), Math.min(low.y, size.y - h / 2)];
    const loops = row.layer.getLatLngs().map((loop) => loop.map(({ lat, lng }) => [lat, lng]));
    let best = null;
    const n = 12;
    for (let k = 0; left <= right && top <= bottom && k < n * n; ++k) {
      const x = left + ((right - left) * ((k % n) + 0.5)) / n;
      const y = top + ((bottom - top) * (Math.floor(k / n) + 0.5)) / n;
      const at = this.map.map.containerPointToLatLng([x, y]);
      const place = { x: x - w / 2, y: y - h / 2, w, h };
      if (!isInside(loops, [at.lat, at.lng]) || this.taken.some((other) => overlap(place, other))) continue;
      const covered = homes.reduce((n, home) => n + overlap(place, home), 0);
      const off = Math.hypot(x - (left + right) / 2, y - (top + bottom) / 2) / (size.x + size.y);
      if (!best || covered + off < best.cost) best = { place, cost: covered + off };
    }
    if (best) this.put(label, best.place);
    else label.remove();
  }

  put(label, place) {
    this.taken.push(place);
    label.style.transform = `translate(${Math.round(place.x)}px, ${Math.round(place.y)}px)`;
  }

  /// The rank of each patch that is seen, the best first, without overlap.
  number(size) {
    if (!this.map.isShown("Patches to clear")) return;
    const ranks = columnsByName(this.map.data.units.columns).rank;
    this.map.units.forEach((unit, u) => {
      if (unit.options.opacity === 0) return; // the slider leaves it out
      const at = this.map.map.latLngToContainerPoint(unit.getBounds().getCenter());
      const place = { x: at.x - 9, y: at.y - 8, w: 20, h: 16 };
      if (at.x < 0 || at.y < 0 || at.x > size.x || at.y > size.y || this.taken.some((other) => overlap(place, other))) return;
      const label = element("span", { class: "map-name unit-number" }, ranks[u]);
      this.host.append(label);
      this.put(label, place);
    });
  }
}

function overlap(a, b) {
  return a.x < b.x + b.w && b.x < a.x + a.w && a.y < b.y + b.h && b.y < a.y + a.h;
}
