// SPDX-License-Identifier: Apache-2.0
// A small plan of one home: its outline, its neighbours, conifers, and lines at the distances.

const sketchReach = 30; // metres of ground around the home, at most

/// From columns and rows of cells to SVG's plane (x east, y south), as an SVG matrix.
function cellMatrix([t0, t1, t2, t3, t4, t5]) {
  const det = t1 * t5 - t2 * t4;
  const x = [t5 / det, -t2 / det, (t2 * t3 - t5 * t0) / det];
  const y = [-t4 / det, t1 / det, (t4 * t0 - t1 * t3) / det];
  return `matrix(${[x[0], -y[0], x[1], -y[1], x[2], -y[2]].join(" ")})`;
}

function pathOf(loops) {
  return loops.map((loop) => "M" + loop.map(([y, x]) => `${x.toFixed(1)} ${(-y).toFixed(1)}`).join("L") + "Z").join("");
}

/// Runs of squares of conifer in a box, as paths by how dense they are, 1 to 4 quarters.
function coniferPaths(squares, [left, top, right, bottom]) {
  const paths = ["", "", "", "", ""];
  const most = squares.side * squares.side;
  const clamp = (v, end) => Math.min(Math.max(Math.floor(v / squares.side), 0), end);
  for (let row = clamp(top, squares.rows); row < clamp(bottom + squares.side, squares.rows); ++row)
    for (let col = clamp(left, squares.cols), end = clamp(right + squares.side, squares.cols); col < end;) {
      const density = (c) => Math.ceil((4 * squares.values[row * squares.cols + c]) / most);
      const from = col;
      const here = density(from);
      while (col < end && density(col) === here) ++col;
      if (here > 0) paths[here] += `M${from * squares.side} ${row * squares.side}h${(col - from) * squares.side}v${squares.side}h${(from - col) * squares.side}z`;
    }
  return paths;
}

/// The plan of building `i`. Lines at distances are drawn as on level ground.
function homeSketch(i, data, map, squares) {
  const distances = data.outer_m.filter((d) => d <= sketchReach);
  if (distances.length === 0) distances.push(data.outer_m[0]);
  const reach = distances[distances.length - 1];
  const home = map.loopsOf(i);
  const bounds = L.latLngBounds(home.flat());
  const pad = reach * 1.06 + 1.2;
  const box = { west: bounds.getWest() - pad, east: bounds.getEast() + pad, south: bounds.getSouth() - pad, north: bounds.getNorth() + pad };
  const [width, height] = [box.east - box.west, box.north - box.south];
  const words = `Plan of the building with lines at ${distances.join(", ")} m from its walls; conifers in grey. The table has the figures.`;
  const plan = svgElement("svg", { class: "sketch", role: "img", "aria-label": words,
    viewBox: `${box.west} ${-box.north} ${width} ${height}` }, svgElement("title", {}, words));
  if (squares) plan.append(conifersIn(box, data.ground.to_cells, squares));
  const seen = L.latLngBounds([box.south, box.west], [box.north, box.east]);
  map.buildings.forEach((other, k) => {
    if (k !== i && seen.intersects(other.getBounds()))
      plan.append(svgElement("path", { d: pathOf(map.loopsOf(k)), class: "sketch-other" }));
  });
  const outline = pathOf(home);
  for (const d of distances) plan.append(...distanceLine(outline, d, box, `ring-${i}-${d}`));
  plan.append(svgElement("path", { d: outline, class: "sketch-home", "fill-rule": "evenodd" }));
  const size = Math.max(width, height) / 20;
  distances.forEach((d) => {
    if (d < size && d !== reach) return; // no room for words
    plan.append(svgElement("text", { x: (box.west + box.east) / 2, y: -(bounds.getNorth() + d) + size * 0.35, "font-size": size,
      "text-anchor": "middle", class: "sketch-words" }, d + " m"));
  });
  return plan;
}

function conifersIn(box, toCells, squares) {
  const t = toCells;
  const corners = [[box.north, box.west], [box.north, box.east], [box.south, box.west], [box.south, box.east]]
    .map(([y, x]) => [t[0] + t[1] * x + t[2] * y, t[3] + t[4] * x + t[5] * y]);
  const [cols, rows] = [corners.map(([c]) => c), corners.map(([, r]) => r)];
  const around = [Math.min(...cols), Math.min(...rows), Math.max(...cols), Math.max(...rows)];
  const group = svgElement("g", { transform: cellMatrix(t), class: "sketch-conifers" });
  coniferPaths(squares, around).forEach((d, quarters) => {
    if (d) group.append(svgElement("path", { d, opacity: quarters / 4 }));
  });
  return group;
}

/// Everything at a distance from an outline: the edge of a line twice as wide with round corners.
function distanceLine(outline, distance, box, id) {
  const thin = 0.22;
  const stroke = (width, colour) => svgElement("path", { d: outline, fill: colour, stroke: colour, "stroke-width": width, "stroke-linejoin": "round" });
  const frame = { x: box.west, y: -box.north, width: box.east - box.west, height: box.north - box.south };
  const mask = svgElement("mask", { id, maskUnits: "userSpaceOnUse", ...frame },
    stroke(2 * distance + thin, "#fff"), stroke(2 * distance - thin, "#000"));
  return [mask, svgElement("rect", { ...frame, mask: `url(#${id})`, class: "sketch-line" })];
}
