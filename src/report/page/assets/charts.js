// SPDX-License-Identifier: Apache-2.0
// Small pictures of figures, drawn as SVG. Each has its numbers in words or in a table near it, too.

/// Shares of buildings by class of exposure, as one bar of the same length for every row; how many
/// are not measured, in words.
function distribution(counts, unmeasured, scale) {
  const [width, height] = [100, 14];
  const all = Math.max(1, counts.reduce((sum, n) => sum + n, 0) + unmeasured);
  const words = counts.map((n, k) => `${n} ${scale.nameOf(k)}`).join(", ") +
    (unmeasured > 0 ? `; ${unmeasured} not measured` : "");
  const chart = svgElement("svg", { class: "distribution", role: "img", "aria-label": words, preserveAspectRatio: "none",
    viewBox: `0 0 ${width} ${height}` }, svgElement("title", {}, words));
  let x = 0;
  counts.forEach((n, k) => {
    chart.append(svgElement("rect", { x, y: 0, width: (width * n) / all, height, class: "exposure-" + k }));
    x += (width * n) / all;
  });
  chart.append(svgElement("rect", { x: 0.5, y: 0.5, width: width - 1, height: height - 1, class: "edge none" }));
  return chart;
}

/// Round numbers from 0 to at least `most`, about five of them.
function ticks(most) {
  const raw = most / 5 || 1;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].find((f) => f * power >= raw) * power;
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const marks = [];
  for (let k = 0; k === 0 || (k - 1) * step < most; ++k) marks.push(Number((k * step).toFixed(digits)));
  return marks;
}

/// Lines over an x axis. `series`: {name, points: [[x, y], ...], dashed}. `xTitle`, `yTitle` name
/// the axes; marks are where they have numbers, from their ends on.
function lineChart({ series, xTitle, yTitle, label, xMarks, yMarks }) {
  const chart = new Axes({ left: 46, right: 640, top: 28, bottom: 270 }, xMarks, yMarks, yTitle, label, "0 0 680 320");
  chart.text([343, 310], "middle", xTitle);
  for (const one of series) chart.line(one);
  return chart.svg;
}

/// Lines over years, each named at its end; names that would cover another move away from it.
function timeChart({ series, yTitle, label, xMarks, yMarks }) {
  const chart = new Axes({ left: 46, right: 500, top: 28, bottom: 290 }, xMarks, yMarks, yTitle, label, "0 0 680 320");
  const ends = series.map((one) => ({ ...one, end: one.points[one.points.length - 1] })).sort((a, b) => b.end[1] - a.end[1]);
  let lowest = -Infinity;
  const places = ends.map(({ end }) => (lowest = Math.max(lowest + 15, chart.y(end[1]) + 4)));
  const beyond = Math.max(0, (places[places.length - 1] ?? 0) - 284);
  ends.forEach((one, k) => {
    chart.line(one);
    const name = chart.text([chart.x(one.end[0]) + 8, Math.max(places[k] - beyond, 14 + 15 * k)], "start", "");
    name.textContent = one.name.length > 24 ? one.name.slice(0, 23) + "…" : one.name;
    if (!one.dashed) name.setAttribute("font-weight", "600");
  });
  return chart.svg;
}

/// The frame of a chart with its numbers, and what is drawn in it.
class Axes {
  constructor(box, xMarks, yMarks, yTitle, label, viewBox) {
    Object.assign(this, { box, xMarks, yMarks });
    this.svg = svgElement("svg", { class: "chart", role: "img", "aria-label": label, viewBox });
    for (const v of yMarks) {
      this.svg.append(svgElement("line", { x1: box.left, x2: box.right, y1: this.y(v), y2: this.y(v), class: "grid" }));
      this.text([box.left - 6, this.y(v) + 4], "end", String(v));
    }
    for (const v of xMarks) this.text([this.x(v), box.bottom + 18], "middle", String(v));
    this.text([box.left - 40, box.top - 12], "start", yTitle);
  }
  x(v) {
    const [first, last] = [this.xMarks[0], this.xMarks[this.xMarks.length - 1]];
    return this.box.left + ((this.box.right - this.box.left) * (v - first)) / (last - first);
  }
  y(v) {
    return this.box.bottom - ((this.box.bottom - this.box.top) * v) / this.yMarks[this.yMarks.length - 1];
  }
  text([x, y], anchor, words) {
    const made = svgElement("text", { x, y, "text-anchor": anchor }, words);
    this.svg.append(made);
    return made;
  }
  line({ points, dashed }) {
    this.svg.append(svgElement("polyline", { class: dashed ? "line dashed" : "line",
      points: points.map(([a, b]) => `${this.x(a).toFixed(1)},${this.y(b).toFixed(1)}`).join(" ") }));
  }
}

/// What the lines are, as a sentence with a sample of each.
function lineKey(series) {
  return element("p", { class: "key" }, ...series.map(({ name, dashed }) => element("span", {},
    svgElement("svg", { viewBox: "0 0 30 10", "aria-hidden": "true" },
      svgElement("line", { x1: 0, x2: 30, y1: 5, y2: 5, class: dashed ? "line dashed" : "line" })),
    name)));
}
