// SPDX-License-Identifier: Apache-2.0
// The plan: its curve, its patches, and what doing part of it would do.

function showCurve(data) {
  const host = document.getElementById("curve");
  if (!host || !data.curve) return;
  const c = columnsByName(data.curve);
  const line = (shares) => [[0, 0], ...c.conifer_ha.map((ha, i) => [ha, 100 * shares[i]])];
  const series = [{ name: "plans made of patches, one per budget", points: line(c.share_of_exposure_removed) },
    { name: "upper limit for any plan, cutting cell by cell", points: line(c.most_removable_share), dashed: true }];
  const label = "Per cent of total exposure removed, by hectares of conifers cleared; the table " +
    "below has the same numbers";
  host.append(lineChart({ series, label, xMarks: ticks(Math.max(...c.conifer_ha)), yMarks: [0, 20, 40, 60, 80, 100],
    xTitle: "hectares of conifers cleared", yTitle: "exposure lowered by, %" }), lineKey(series));
}

/// Finds the address nearest to a patch, when a row of the table or its order asks for it.
function nearestAddress(map, nameOf) {
  const found = [];
  return (u) => (found[u] ??= (() => {
    const { lat, lng } = map.units[u].getBounds().getCenter();
    const { i } = nearestOf(map.middles, [lat, lng]);
    return i === null ? "" : nameOf(i);
  })());
}

function showUnits(data, map, nameOf, goTo) {
  const host = document.getElementById("units");
  if (!host || !data.units) return;
  const c = columnsByName(data.units.columns);
  const near = nearestAddress(map, nameOf);
  const { number, words } = columnMakers((name, i) => c[name][i]);
  const columns = [
    number("Rank", "rank", 0),
    { title: "Nearest address", text: true, heads: true, value: near,
      cell: (u) => linkButton(() => goTo(u), dataText(near(u) || "show on the map")) },
    ...(data.neighbourhoods.length > 1 ? [words("Neighbourhood", "neighbourhood", { wide: true })] : []),
    words("Owner", "owner", { wide: true }),
    ...(c.cost ? [words("Method", "method", { wide: true })] : []),
    number("Conifers, m²", "conifer_m2", 0, { down: true }),
    ...(c.cost ? [number(data.currency ? `Cost, ${data.currency}` : "Cost", "cost", 0, { down: true, wide: true })] : []),
    number("Points of exposure removed", "exposure_removed", 1, { down: true }),
    number(`Buildings within ${data.reach_m} m`, "homes_in_reach", 0, { down: true, wide: true })];
  new PagedTable(host, { caption: "Patches to clear, best value first", count: c.rank.length, columns,
    onAPage: 20 });
}

/// A slider over the patches in their order, the best first: what the first of them do together.
/// `data.steps`: ends of groups of patches, and by home and group how much its exposure falls.
class BudgetSlider {
  constructor(data, scale, map) {
    Object.assign(this, { data, scale, map });
    const host = document.getElementById("budget");
    this.patches = data.units.shape.length;
    if (!host || this.patches === 0) return;
    this.c = columnsByName(data.units.columns);
    this.ends = data.steps ? data.steps.ends : data.units.shape.map((_, u) => u + 1);
    const most = this.ends.length;
    this.slider = element("input", { type: "range", min: 0, max: most, step: 1, value: most, id: "budget-slider" });
    this.words = element("output", { class: "answer", for: "budget-slider" });
    this.chart = element("div", { class: "before-after" });
    host.append(element("label", { for: "budget-slider" }, "How much of the plan: the best patches first"),
      this.slider, this.words, this.chart);
    this.slider.addEventListener("input", () => this.show(Number(this.slider.value)));
    this.say(most, data.steps ? this.exposuresAfter(most) : null);
  }

  sum(name, patches) {
    return this.c[name].slice(0, patches).reduce((sum, v) => sum + v, 0);
  }

  /// Redraws sentence, bars and map, on which buildings are shown as they would be.
  show(step) {
    const patches = step === 0 ? 0 : this.ends[step - 1];
    const after = this.data.steps ? this.exposuresAfter(step) : null;
    this.say(step, after);
    this.map.show("Patches to clear");
    this.map.units.forEach((unit, u) => {
      const opacity = u < patches ? 1 : 0;
      if (opacity !== unit.options.opacity) unit.setStyle({ opacity, fillOpacity: opacity * unitOpacity });
    });
    this.map.showExposures(after);
    this.map.names.soon();
  }

  /// Moves on until patch `u` is among those that are shown.
  include(u) {
    if (!this.slider || this.map.units[u].options.opacity !== 0) return;
    this.slider.value = this.ends.findIndex((end) => end > u) + 1;
    this.show(Number(this.slider.value));
  }

  say(step, after) {
    const patches = step === 0 ? 0 : this.ends[step - 1];
    const points = this.sum("exposure_removed", patches);
    const cost = this.c.cost ? `, for about ${money(this.sum("cost", patches), this.data.currency)}` : "";
    this.words.textContent = unbroken(patches === 0 ? "Nothing cleared: exposure stays as it is."
      : `The best ${count(patches)} of ${count(this.patches)} patches, ${figure(this.sum("conifer_m2", patches) / 1e4, 2)} ha of conifers${cost}, ` +
        `would cut total exposure by ${perCent(points / this.data.sum_exposure, 0)}%.`);
    this.slider.setAttribute("aria-valuetext", this.words.textContent);
    if (after) this.drawBars(after);
  }

  exposuresAfter(step) {
    const after = [...this.data.structures.exposure];
    const { home, group, points } = this.data.steps;
    home.forEach((i, k) => {
      if (group[k] < step && after[i] !== null) after[i] = Math.max(0, after[i] - points[k]);
    });
    return after;
  }

  /// Buildings by class, now and with these patches cleared.
  drawBars(after) {
    const row = (title, exposures) => {
      const counts = this.scale.from.map(() => 0);
      let unmeasured = 0;
      for (const v of exposures) if (v === null) ++unmeasured; else ++counts[this.scale.classOf(v)];
      const high = counts.slice(this.scale.classOf(20)).reduce((a, b) => a + b, 0);
      return element("div", { class: "bar-row" }, element("span", {}, title), distribution(counts, unmeasured, this.scale),
        element("span", {}, `${count(high)} at 20 or more`));
    };
    this.chart.replaceChildren(row("Now", this.data.structures.exposure), row("Then", after));
  }
}
