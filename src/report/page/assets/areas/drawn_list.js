// SPDX-License-Identifier: Apache-2.0
// Areas that the reader draws, and what clearing them would do.

class DrawnAreas {
  constructor(host, data, map, ground) {
    Object.assign(this, { data, map, ground });
    this.degrees = data.degrees && new Degrees(data.degrees);
    this.areas = []; // {name, loops, more, layer, sums}
    this.group = L.layerGroup().addTo(map.map);
    map.layers.push({ name: "Drawn areas", layer: this.group, box: { checked: true } });
    this.status = element("p", { class: "status", role: "status" });
    this.table = element("div", {});
    this.tool = new DrawTool(map, (loop) => this.add([{ name: this.freeName(), loops: [loop], more: {} }]),
      (words) => this.tell(words));
    this.build(host);
  }

  build(host) {
    const chooser = element("input", { type: "file", accept: ".geojson,.json,application/geo+json", hidden: true,
      "aria-label": "GeoJSON file of areas" });
    chooser.addEventListener("change", async () => {
      if (chooser.files.length > 0) await this.load(await chooser.files[0].text());
      chooser.value = "";
    });
    this.save = actionButton("Save as GeoJSON", () => this.saveAll(), { disabled: true });
    const files = this.degrees ? [this.save, actionButton("Load GeoJSON", () => chooser.click()), chooser] : [];
    host.append(element("h3", {}, "Draw an area, read its gain"),
      element("div", { class: "buttons" }, actionButton("Draw an area", () => this.tool.begin()), ...files),
      this.status, this.table);
    host.hidden = false;
  }

  tell(words) {
    this.status.textContent = unbroken(words);
  }

  freeName() {
    let k = 1;
    while (this.areas.some(({ name }) => name === "Area " + k)) ++k;
    return "Area " + k;
  }

  async add(areas) {
    await Promise.all(["points", "conifer"].map((kind) => this.ground.load(kind)));
    for (const area of areas) {
      area.sums = this.sumsOf([area]);
      area.layer = L.polygon(area.loops, { interactive: false, weight: 3, fillOpacity: 0.15, fillRule: "evenodd" });
      area.layer.styleOf = () => ({ color: this.map.colours.drawn, fillColor: this.map.colours.drawn });
      area.layer.setStyle(area.layer.styleOf());
      this.group.addLayer(area.layer);
      this.areas.push(area);
    }
    this.show();
    if (areas.length === 1) this.tell(this.sentence(areas[0]));
  }

  /// Square metres, those of them conifer under no roof, and points of total exposure.
  sumsOf(areas) {
    const parts = areas.map(({ loops }) => loops);
    const roofs = this.roofsOver(parts);
    return { m2: coveredM2(this.ground, parts),
      conifer_m2: this.ground.conifer
        ? sumOver(this.ground, this.ground.conifer, parts, roofs) * this.ground.data.cell_m2 : 0,
      points: this.ground.points ? sumOver(this.ground, this.ground.points, parts) : 0 };
  }

  /// Buildings with conifers over their roof that may lie in the areas.
  roofsOver(areas) {
    const box = L.latLngBounds(areas.flat(2));
    const { structures } = this.data;
    return this.map.buildings.flatMap((building, i) =>
      structures.roof_canopy_m2[i] > 0 && box.intersects(building.getBounds()) ? [this.map.loopsOf(i)] : []);
  }

  share(points) {
    return this.data.sum_exposure > 0 ? points / this.data.sum_exposure : 0;
  }

  sentence({ name, sums }) {
    return `${name}: ${figure(sums.m2 / 1e4, 2)} ha, ${figure(sums.conifer_m2 / 1e4, 2)} ha of it conifers. Clearing ` +
      `them all would cut total exposure by ${figure(sums.points, 1)} points (${perCent(this.share(sums.points))}%).`;
  }

  show() {
    this.save.disabled = this.areas.length === 0;
    if (this.areas.length === 0) {
      this.table.replaceChildren();
      return;
    }
    const row = (heading, sums, last) => element("tr", {}, element("th", { scope: "row" }, heading),
      ...[figure(sums.m2 / 1e4, 2), figure(sums.conifer_m2 / 1e4, 2), figure(sums.points, 1), perCent(this.share(sums.points))]
        .map((cell) => element("td", { class: "number" }, cell)), element("td", { class: "no-paper" }, last));
    const rows = this.areas.map((area) => row(this.nameField(area), area.sums, element("span", { class: "buttons" },
      linkButton(() => this.map.goTo(area.layer.getBounds().pad(0.3)), "Show"),
      linkButton(() => this.remove(area), "Remove"))));
    const head = ["Area", "Hectares", "Conifers, ha", "Points less", "Share of total, %", ""];
    const table = element("table", {}, element("caption", {}, "Areas you drew, as if all their conifers were cleared"),
      element("thead", {}, element("tr", {}, ...head.map((title, k) => (title === "" ? element("td", { class: "no-paper" })
        : element("th", { scope: "col", class: k > 0 ? "number" : undefined }, title))))),
      element("tbody", {}, ...rows));
    if (this.areas.length > 1)
      table.append(element("tfoot", {}, row("Together, shared land once", this.sumsOf(this.areas), "")));
    this.table.replaceChildren(element("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Areas you drew" }, table),
      element("p", { class: "status" }, `Points of total exposure are read ${this.ground.resolution("points")}; conifers ` +
        `${this.ground.resolution("conifer")}, within reach of the widest ring and under no roof. For the effect on each home, ` +
        "save the areas and run `fuelring appraise`."));
  }

  nameField(area) {
    const field = element("input", { type: "text", class: "area-field", "aria-label": "Name of the area" });
    field.value = area.name;
    field.addEventListener("change", () => { area.name = field.value.trim() || area.name; });
    return field;
  }

  remove(area) {
    this.group.removeLayer(area.layer);
    this.areas = this.areas.filter((other) => other !== area);
    this.show();
    this.tell(`${area.name} was removed.`);
  }

  saveAll() {
    const round = (value, digits) => Number(value.toFixed(digits));
    saveFile(fileName(this.data.community) + "-areas.geojson", "application/geo+json",
      geojsonOf(this.areas, this.degrees, ({ sums }) => ({ area_ha: round(sums.m2 / 1e4, 6),
        conifer_ha: round(sums.conifer_m2 / 1e4, 6), exposure_removed: round(sums.points, 6) })));
  }

  async load(text) {
    const { areas, left } = areasIn(text, this.degrees);
    await this.add(areas);
    this.tell(`${count(areas.length)} ${areas.length === 1 ? "area" : "areas"} loaded. ${left}`);
    if (areas.length > 0) this.map.goTo(L.latLngBounds(areas.flatMap(({ loops }) => loops.flat())).pad(0.3));
  }
}
