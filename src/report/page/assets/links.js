// SPDX-License-Identifier: Apache-2.0
// What is shown is in the address of the page (`#address=Fern+Way+5`), so that it can be mailed
// and the back button works. Text of a link is looked up, never shown as markup.

class Links {
  /// `show(wanted)` gets a URLSearchParams of what the link names.
  constructor(show) {
    this.show = show;
    addEventListener("popstate", () => this.follow());
  }

  follow() {
    this.show(new URLSearchParams(location.hash.slice(1)));
  }

  /// Shows it and makes it the page's address, unless it is that already.
  go(name, value) {
    const hash = "#" + new URLSearchParams([[name, value]]);
    if (hash !== location.hash) history.pushState(null, "", hash);
    this.follow();
  }

  leave() {
    if (location.hash !== "") history.pushState(null, "", location.pathname);
    this.follow();
  }
}
