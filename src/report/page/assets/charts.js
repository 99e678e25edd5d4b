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
/// the axes; both begin at 0.
function lineChart({ series, xTitle, yTitle, label, xMarks, yMarks }) {
  const box = { left: 46, right: 640, top: 28, bottom: 270 };
  const x = (v) => box.left + ((box.right - box.left) * v) / xMarks[xMarks.length - 1];
  const y = (v) => box.bottom - ((box.bottom - box.top) * v) / yMarks[yMarks.length - 1];
  const chart = svgElement("svg", { class: "chart", role: "img", "aria-label": label,
    viewBox: "0 0 680 320" });
  const text = (at, anchor, words) => chart.append(
    svgElement("text", { x: at[0], y: at[1], "text-anchor": anchor }, words));
  for (const v of yMarks) {
    chart.append(svgElement("line", { x1: box.left, x2: box.right, y1: y(v), y2: y(v), class: "grid" }));
    text([box.left - 6, y(v) + 4], "end", String(v));
  }
  for (const v of xMarks) text([x(v), box.bottom + 18], "middle", String(v));
  text([box.left - 40, box.top - 12], "start", yTitle);
  text([(box.left + box.right) / 2, box.bottom + 40], "middle", xTitle);
  for (const { points, dashed } of series)
    chart.append(svgElement("polyline", { class: dashed ? "line dashed" : "line",
      points: points.map(([a, b]) => `${x(a).toFixed(1)},${y(b).toFixed(1)}`).join(" ") }));
  return chart;
}

/// What the lines are, as a sentence with a sample of each.
function lineKey(series) {
  return element("p", { class: "key" }, ...series.map(({ name, dashed }) => element("span", {},
    svgElement("svg", { viewBox: "0 0 30 10", "aria-hidden": "true" },
      svgElement("line", { x1: 0, x2: 30, y1: 5, y2: 5, class: dashed ? "line dashed" : "line" })),
    name)));
}
