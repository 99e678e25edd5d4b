// SPDX-License-Identifier: Apache-2.0
// Colours and classes. The style sheet has the colours; a canvas reads them here.

/// The colours of the map in the theme that is on.
function mapColours() {
  const style = getComputedStyle(document.documentElement);
  const colour = (name) => style.getPropertyValue("--map-" + name).trim();
  const several = (name, n) => Array.from({ length: n }, (_, k) => colour(`${name}-${k}`));
  return { ground: colour("ground"), halo: colour("halo"), building: colour("building"),
    area: colour("area"), unit: colour("unit"), chosen: colour("chosen"), drawn: colour("drawn"),
    street: colour("street"), water: colour("water"),
    exposure: several("exposure", 7), gain: several("gain", 5) };
}

/// A square in the colour of a class ("exposure-3"), an empty one for none; the number or the word
/// is next to it, so it needs no name.
function swatch(name) {
  const square = svgElement("svg", { class: "swatch", viewBox: "0 0 10 10", "aria-hidden": "true" });
  square.append(svgElement("rect", { x: 0.5, y: 0.5, width: 9, height: 9,
    class: name ? "edge " + name : "edge none", "stroke-dasharray": name ? undefined : "2 1" }));
  return square;
}

/// Classes of exposure: bounds and names.
class ExposureScale {
  constructor(exposure) {
    this.from = exposure.from;
  }
  classOf(value) {
    let k = this.from.length - 1;
    while (k > 0 && value < this.from[k]) --k;
    return k;
  }
  swatchOf(value) {
    return swatch(value === null ? null : "exposure-" + this.classOf(value));
  }
  nameOf(k) {
    return rangeName(this.from, k, 100);
  }
}

/// "below 1", "1 to 2", ...: a class of a legend. `end` is the most there can be.
function rangeName(from, k, end) {
  if (k === 0) return "below " + from[1];
  const to = k + 1 < from.length ? from[k + 1] : end;
  return to === undefined ? from[k] + " or more" : from[k] + " to " + to;
}
