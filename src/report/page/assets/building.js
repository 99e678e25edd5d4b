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
  outside_draws: "exposure outside the range of its draws: quote both",
  neighbours_conifer: "nearby conifers are on other people's land",
};

/// "partly unmapped; conifers over the roof"
function flagText(flags) {
  return flags.split(";").filter(Boolean).map((flag) => flagWords[flag] || flag).join("; ");
}

/// The panel beside the map. Says what to do until a building is chosen.
class BuildingPanel {
  /// `back()` is called when the reader goes back to the list.
  constructor(host, data, scale, map, ground, back) {
    Object.assign(this, { data, scale, map, ground, back });
    this.panel = element("div", { class: "building", role: "region", "aria-live": "polite",
      "aria-label": "Figures of one building", tabindex: -1 });
    host.append(this.panel);
    host.hidden = false;
    const community = data.neighbourhoods[data.neighbourhoods.length - 1];
    this.measured = count(community.measured) + (community.measured < community.structures ? " measured" : "");
    this.addresses = new Map(); // by structure
    data.addresses.structure.forEach((structure, row) => {
      const text = data.addresses.text[row];
      if (text === "") return;
      if (this.addresses.has(structure)) this.addresses.get(structure).push(text);
      else this.addresses.set(structure, [text]);
    });
    this.clear();
  }

  clear() {
    this.shown = null;
    this.panel.replaceChildren(element("p", { class: "hint" }, "Click a building or an address to see its figures."));
  }

  /// "Fern Way 5", or "Building F-17".
  nameOf(i) {
    const names = this.addresses.get(i) || [];
    return names.length > 0 ? names[0] : "Building " + this.data.structures.id[i];
  }

  show(i) {
    this.shown = i;
    const s = this.data.structures;
    const names = this.addresses.get(i) || [];
    const title = element("h3", {});
    names.slice(0, 5).forEach((name, k) => title.append(k > 0 ? "; " : "", dataText(name)));
    if (names.length > 5) title.append(` and ${names.length - 5} more`);
    if (names.length === 0) title.append("Building ", dataText(s.id[i]));
    const plan = element("div", { class: "plan-of-home" });
    this.panel.replaceChildren(element("div", { class: "title-row" }, title, linkButton(this.back, "Back to the list")),
      element("div", { class: "home" }, plan, this.facts(i)), this.ringTable(i));
    this.ground.load("conifer").then((conifer) => {
      if (this.shown === i) plan.replaceChildren(homeSketch(i, this.data, this.map, conifer));
    });
  }

  facts(i) {
    const s = this.data.structures;
    const facts = element("dl", {});
    const fact = (name, ...value) => facts.append(element("div", {},
      element("dt", {}, name), element("dd", {}, ...value)));
    fact("Exposure", this.scale.swatchOf(s.exposure[i]), figure(s.exposure[i], 1));
    if (s.range && s.range.low[i] !== null)
      fact("Likely range", `${figure(s.range.low[i], 1)} to ${figure(s.range.high[i], 1)}`);
    fact("Rank", s.rank[i] === null ? unknown
      : `${count(s.rank[i])} of ${this.measured} buildings`);
    if (s.trial_ranks && s.trial_ranks.highest[i] !== null)
      fact("Rank in the trials", `${count(s.trial_ranks.highest[i])} to ${count(s.trial_ranks.lowest[i])}`);
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
    return facts;
  }

  /// What each ring adds to the exposure, in points; null where it is not mapped.
  pointsOfRings(i) {
    const shares = this.data.structures.conifer_frac.map((ring) => ring[i]);
    const all = this.data.weights.reduce((sum, weight, k) => (shares[k] === null ? sum : sum + weight), 0);
    return shares.map((share, k) => (share === null || all === 0 ? null : (100 * this.data.weights[k] * share) / all));
  }

  ringTable(i) {
    const s = this.data.structures;
    const points = this.pointsOfRings(i);
    const most = Math.max(1e-9, ...points);
    const head = ["Distance from walls", "Points of exposure", "Conifers, %", "Other vegetation, %", "Not mapped, %"];
    const rows = this.data.rings.map((ring, k) => element("tr", {},
      element("th", { scope: "row" }, ring),
      element("td", { class: "number" }, bar(points[k] / most), figure(points[k], 1)),
      ...[s.conifer_frac, s.other_burnable_frac, s.unmapped_frac].map((shares) =>
        element("td", { class: "number" }, perCent(shares[k][i])))));
    return element("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Rings" },
      element("table", {}, element("caption", {}, "Where its points come from, and what covers the land"),
        element("thead", {}, element("tr", {}, ...head.map((title, k) =>
          element("th", { scope: "col", class: k > 0 ? "number" : undefined }, title)))),
        element("tbody", {}, ...rows)));
  }
}

/// A bar beside a number, 0 to 1 of its column.
function bar(share) {
  return svgElement("svg", { class: "bar", viewBox: "0 0 40 8", "aria-hidden": "true" },
    svgElement("rect", { x: 0, y: 0, width: 40 * share, height: 8 }));
}
