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

/// "CAD 11,344", "$11,344": a currency that ends in a letter stands apart.
function money(amount, currency = "") {
  return `${currency}${/[A-Za-z.]$/.test(currency) ? "\u00a0" : ""}${figure(amount, 0)}`;
}

/// A share of 0 to 1 as per cent.
function perCent(share, decimals = 1) {
  return share === null || share === undefined ? unknown : (100 * share).toFixed(decimals);
}

/// "12,345": a count for a sentence.
function count(n) {
  return n.toLocaleString("en");
}

/// A button that does something, and one that looks like a link.
function actionButton(words, act, attributes) {
  const button = element("button", { type: "button", class: "action", ...attributes }, words);
  button.addEventListener("click", act);
  return button;
}

function linkButton(act, ...words) {
  const button = element("button", { type: "button", class: "name" }, ...words);
  button.addEventListener("click", act);
  return button;
}

/// Does work that nobody waits for yet. Not every browser tells when it has time.
function whenIdle(work) {
  if (window.requestIdleCallback) requestIdleCallback(work);
  else setTimeout(work, 200);
}
