// SPDX-License-Identifier: Apache-2.0
// Building the document, and figures as text.

const htmlSpace = "http://www.w3.org/1999/xhtml";
const svgSpace = "http://www.w3.org/2000/svg";

/// An element with attributes (true: without a value) and children, which are nodes or words of
/// ours: a line never breaks between a number and its unit.
function element(tag, attributes, ...children) {
  return elementIn(htmlSpace, tag, attributes, children);
}

function svgElement(tag, attributes, ...children) {
  return elementIn(svgSpace, tag, attributes, children);
}

function elementIn(space, tag, attributes, children) {
  const made = document.createElementNS(space, tag);
  for (const [name, value] of Object.entries(attributes))
    if (value !== undefined && value !== false)
      made.setAttribute(name, value === true ? "" : String(value));
  made.append(...children.map((child) => (child instanceof Node ? child : unbroken(child))));
  return made;
}

function unbroken(words) {
  return String(words).replace(/(\d) (m²?|ha|km)(?![\dA-Za-z])/g, "$1\u00a0$2");
}

/// Text of the data as it is, which may run from right to left, kept apart from what is around it.
function dataText(text) {
  const made = element("bdi", {});
  made.textContent = text;
  return made;
}

const unknown = "–";

/// "1,471.5": a figure with so many decimals, a dash where it is unknown. Rounded as in the files:
/// toLocaleString rounds the shortest decimal that a double prints as, not its value.
function figure(value, decimals) {
  if (value === null || value === undefined) return unknown;
  const [whole, rest] = value.toFixed(decimals).split(".");
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, ",");
  return rest === undefined ? grouped : `${grouped}.${rest}`;
}

/// A share of 0 to 1 as per cent.
function perCent(share, decimals = 1) {
  return share === null || share === undefined ? unknown : (100 * share).toFixed(decimals);
}

/// "12,345": a count for a sentence.
function count(n) {
  return n.toLocaleString("en");
}

/// A square of an exposure's colour; the number is next to it, so it needs no name.
function swatch(colour) {
  const square = svgElement("svg", { class: "swatch", viewBox: "0 0 10 10", "aria-hidden": "true" });
  const attributes = { x: 0.5, y: 0.5, width: 9, height: 9, class: "edge" };
  square.append(svgElement("rect", colour ? { ...attributes, fill: colour }
                                          : { ...attributes, fill: "none", "stroke-dasharray": "2 1" }));
  return square;
}

/// Classes of exposure: bounds, colours, names.
class ExposureScale {
  constructor(exposure) {
    this.from = exposure.from;
    this.colours = exposure.colours;
  }
  classOf(value) {
    let k = this.from.length - 1;
    while (k > 0 && value < this.from[k]) --k;
    return k;
  }
  colourOf(value) {
    return value === null ? null : this.colours[this.classOf(value)];
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
