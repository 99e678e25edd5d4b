// SPDX-License-Identifier: Apache-2.0
// Mean exposure by the date of the imagery: one line for each row of the ranking.

/// Last less first of what is known; null for fewer than two.
function changeOf(means) {
  const known = means.filter((v) => v !== null);
  return known.length < 2 ? null : known[known.length - 1] - known[0];
}

/// A small line in the row of a neighbourhood, with its numbers as its name.
function spark({ dates, years, rows }, i) {
  const points = rows[i].map((mean, k) => [years[k], mean]).filter(([, mean]) => mean !== null);
  if (points.length < 2) return unknown;
  const most = Math.max(...points.map(([, mean]) => mean), 1e-9);
  const span = years[years.length - 1] - years[0];
  const at = ([year, mean]) => `${(2 + (56 * (year - years[0])) / span).toFixed(1)},${(18 - (15 * mean) / most).toFixed(1)}`;
  const words = rows[i].map((mean, k) => `${dates[k]}: ${figure(mean, 1)}`).join(", ");
  const last = at(points[points.length - 1]).split(",");
  const change = changeOf(rows[i]);
  const line = svgElement("svg", { class: "spark", role: "img", "aria-label": words, viewBox: "0 0 62 20" }, svgElement("title", {}, words),
    svgElement("polyline", { class: "line", points: points.map(at).join(" ") }), svgElement("circle", { cx: last[0], cy: last[1], r: 2.5 }));
  const size = figure(Math.abs(change), 1);
  return element("span", { class: "whole" }, line, size === "0.0" ? size : (change < 0 ? "\u2212" : "+") + size);
}

/// The community's line, and those of its neighbourhoods below it, named at their ends.
function showHistory(data) {
  const host = document.getElementById("history-chart");
  if (!host || !data.history) return;
  const { years, rows } = data.history;
  const series = rows.map((means, i) => ({ name: data.neighbourhoods[i].name, dashed: i < rows.length - 1,
    points: means.map((mean, k) => [years[k], mean]).filter(([, mean]) => mean !== null) }))
    .filter(({ points }) => points.length > 1);
  const most = Math.max(...series.flatMap(({ points }) => points.map(([, mean]) => mean)));
  host.append(timeChart({ series, xMarks: yearMarks(years), yMarks: ticks(most), yTitle: "mean exposure",
    label: "Mean exposure by date of the imagery; the table below has the same numbers" }));
}

/// Whole years from before the first date to after the last, at most some eight of them.
function yearMarks(years) {
  const first = Math.floor(years[0]);
  const last = Math.ceil(years[years.length - 1]);
  const step = Math.max(1, Math.ceil((last - first) / 8));
  const marks = [];
  for (let year = first; year < last + step; year += step) marks.push(year);
  return marks;
}
