// SPDX-License-Identifier: Apache-2.0
// The figures of one building, in words.

const flagWords = {
  unmapped: "land around it not mapped, exposure unknown",
  partly_unmapped: "partly unmapped",
  no_conifer_in_reach: "no conifers within the widest ring",
  coarse_cells: "map cells are wider than the innermost ring",
  repaired_outline: "outline crossed itself and was repaired",
  duplicate_outline: "another building has the same outline",
  canopy_on_roof: "conifers over the roof",
  no_slope: "too few heights to find the slope",
  neighbours_conifer: "nearby conifers are on other people's land",
};

/// "partly unmapped; conifers over the roof"
function flagText(flags) {
  return flags.split(";").filter(Boolean).map((flag) => flagWords[flag] || flag).join("; ");
}

/// The panel below the map. Says what to do until a building is chosen.
class BuildingPanel {
  constructor(host, data, scale) {
    this.data = data;
    this.scale = scale;
    this.panel = element("div", { class: "building", role: "region", "aria-live": "polite",
      "aria-label": "Figures of one building", tabindex: -1 },
      element("p", {}, "Click a building or an address to see its figures."));
    host.append(this.panel);
    const community = data.neighbourhoods[data.neighbourhoods.length - 1];
    this.measured = count(community.measured) + (community.measured < community.structures ? " measured" : "");
    this.addresses = new Map(); // by structure
    data.addresses.structure.forEach((structure, row) => {
      const text = data.addresses.text[row];
      if (text === "") return;
      if (this.addresses.has(structure)) this.addresses.get(structure).push(text);
      else this.addresses.set(structure, [text]);
    });
  }

  show(i) {
    const s = this.data.structures;
    const names = this.addresses.get(i) || [];
    const title = element("h3", {});
    names.slice(0, 5).forEach((name, k) => title.append(k > 0 ? "; " : "", dataText(name)));
    if (names.length > 5) title.append(` and ${names.length - 5} more`);
    if (names.length === 0) title.append("Building ", dataText(s.id[i]));
    const facts = element("dl", {});
    const fact = (name, ...value) => facts.append(element("div", {},
      element("dt", {}, name), element("dd", {}, ...value)));
    fact("Exposure", swatch(this.scale.colourOf(s.exposure[i])), figure(s.exposure[i], 1));
    fact("Rank", s.rank[i] === null ? unknown
      : `${count(s.rank[i])} of ${this.measured} buildings`);
    fact("Nearest conifer", s.nearest_conifer_m[i] !== null
      ? figure(s.nearest_conifer_m[i], 1) + " m from the wall"
      : s.exposure[i] === null ? unknown
      : s.flags[i].split(";").includes("partly_unmapped") ? "none mapped, but partly unmapped" : "none in reach");
    if (s.neighbourhood[i] !== null)
      fact("Neighbourhood", dataText(this.data.neighbourhoods[s.neighbourhood[i]].name));
    fact("Footprint", figure(s.footprint_m2[i], 0) + " m²");
    fact("Conifers over the roof", figure(s.roof_canopy_m2[i], 1) + " m²");
    fact("Structure", dataText(s.id[i]));
    if (s.flags[i]) fact("Note", flagText(s.flags[i]));
    this.panel.replaceChildren(title, facts, this.ringTable(i));
  }

  ringTable(i) {
    const s = this.data.structures;
    const head = ["Distance from walls", "Conifers, %", "Other vegetation, %", "Not mapped, %"];
    const rows = this.data.rings.map((ring, k) => element("tr", {},
      element("th", { scope: "row" }, ring),
      ...[s.conifer_frac, s.other_burnable_frac, s.unmapped_frac].map((shares) =>
        element("td", { class: "number" }, perCent(shares[k][i])))));
    return element("table", {}, element("caption", {}, "Ground cover by distance"),
      element("thead", {}, element("tr", {}, ...head.map((title, k) =>
        element("th", { scope: "col", class: k > 0 ? "number" : undefined }, title)))),
      element("tbody", {}, ...rows));
  }
}
