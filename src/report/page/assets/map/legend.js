// SPDX-License-Identifier: Apache-2.0
// What the colours and lines of the map mean.

function legendOf(map) {
  const { surface, structures, neighbourhoods, units, context } = map.data;
  const list = (title, entries) => element("div", {}, element("h3", {}, title),
    element("ul", {}, ...entries.map(([sign, name]) => element("li", {}, sign, name))));
  const exposures = map.scale.from.map((_, k) => [swatch("exposure-" + k), map.scale.nameOf(k)]);
  if (structures ? structures.exposure.includes(null) : neighbourhoods.some((row) => row.mean === null))
    exposures.push([swatch(null), "not measured (unknown)"]);
  const parts = [list(structures ? "Exposure of a building" : "Mean exposure", exposures)];
  if (surface && surface.classes.length > 0)
    parts.push(list("Gain from clearing: the best land first",
      surface.classes.map((name, k) => [swatch("gain-" + k), name])));
  const lines = [];
  if (surface && surface.unmapped) lines.push([hatchSample(), "not mapped (unknown, not zero)"]);
  if (neighbourhoods.some((row) => row.hatched && row.hatched.length > 0)) lines.push([hatchSample(), "counted with others"]);
  if (structures && map.areas.getLayers().length > 0) lines.push([lineSample("area-line"), "neighbourhood"]);
  if (units) lines.push([lineSample("unit-line"), "patch to clear"]);
  if (context)
    for (const kind of kindsOf(context))
      lines.push([contextSample(kind), contextNames[kind]]);
  if (lines.length > 0) parts.push(list("Land", lines));
  return parts;
}

function hatchSample() {
  const sample = svgElement("svg", { class: "swatch", viewBox: "0 0 10 10", "aria-hidden": "true" });
  for (const x of [-6, -2, 2, 6])
    sample.append(svgElement("line", { x1: x, y1: 10, x2: x + 10, y2: 0, class: "hatch" }));
  return sample;
}

function lineSample(name) {
  const sample = svgElement("svg", { class: "swatch", viewBox: "0 0 10 10", "aria-hidden": "true" });
  sample.append(svgElement("rect", { x: 1, y: 1, width: 8, height: 8, class: name }));
  return sample;
}
