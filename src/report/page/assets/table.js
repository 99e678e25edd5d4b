// SPDX-License-Identifier: Apache-2.0
// A table that sorts, filters and turns pages. One page of rows is in the document, so that
// find, print and screen readers work as in any table; sorting and searching go over all rows.

const textOrder = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

/// `columns`: {title, value(row), cell(row), text: true for words, wide: true where a narrow screen
/// leaves it out (`middle`: only a very narrow one), heads: true for the cell that names its row, name: a class of its own}. Rows are
/// numbers from 0, `onAPage` of them at a time.
class PagedTable {
  constructor(host, options) {
    this.options = options;
    this.columns = options.columns;
    this.rows = [];
    this.page = 0;
    this.onAPage = options.onAPage || 100;
    this.orders = new Map(); // by column: the place of each row in ascending order
    this.sorted = null; // {column, down}
    this.build(host);
    this.sayOrder(options.sorted);
    this.keep(() => true);
  }

  build(host) {
    const { caption, footer } = this.options;
    this.headings = this.columns.map((column, k) => this.heading(column, k));
    this.body = element("tbody", {});
    const table = element("table", {}, element("caption", {}, caption),
      element("thead", {}, element("tr", {}, ...this.headings)), this.body);
    if (footer !== undefined)
      table.append(element("tfoot", {}, this.rowElement(footer)));
    this.status = element("p", { class: "status", role: "status" });
    this.pager = element("nav", { class: "pager", "aria-label": caption + ": pages" });
    host.replaceChildren(
      element("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": caption }, table),
      element("div", { class: "beside" }, this.status, ...(this.options.beside ? [this.options.beside] : [])), this.pager);
  }

  heading(column, k) {
    const button = element("button", { type: "button" }, column.title);
    button.addEventListener("click", () => this.sortBy(k));
    // Browsers do not print buttons in a heading that is repeated on every sheet of paper.
    const onPaper = element("span", { class: "on-paper" }, column.title);
    return element("th", { scope: "col", class: this.classOf(column), "aria-sort": "none" }, button,
      onPaper);
  }

  classOf(column) {
    const classes = [column.text ? "" : "number", column.wide ? "wide" : "", column.middle ? "middle" : "", column.name];
    return classes.filter(Boolean).join(" ") || undefined;
  }

  /// Shows the rows for which `test` is true, from the first page.
  keep(test) {
    this.rows = [];
    for (let row = 0; row < this.options.count; ++row) if (test(row)) this.rows.push(row);
    this.arrange();
  }

  /// First up or down as suits the column, then the other way round.
  sortBy(k) {
    const again = this.sorted && this.sorted.column === k;
    this.sorted = { column: k, down: again ? !this.sorted.down : Boolean(this.columns[k].down) };
    this.headings.forEach((heading, i) => heading.setAttribute("aria-sort",
      i !== k ? "none" : this.sorted.down ? "descending" : "ascending"));
    this.arrange();
  }

  /// The column that the rows came sorted by, where there is one.
  sayOrder(k) {
    if (k !== undefined) this.headings[k].setAttribute("aria-sort", "ascending");
  }

  arrange() {
    if (this.sorted) {
      const place = this.orderOf(this.sorted.column);
      const sign = this.sorted.down ? -1 : 1;
      this.rows.sort((a, b) => {
        if (place[a] < 0 || place[b] < 0) // unknown comes last either way
          return place[a] === place[b] ? a - b : place[b] - place[a];
        return sign * (place[a] - place[b]) || a - b;
      });
    }
    this.show(0);
  }

  /// Places of the rows in ascending order of a column; equal values share one, unknown is -1.
  orderOf(k) {
    if (this.orders.has(k)) return this.orders.get(k);
    const { value, text } = this.columns[k];
    const values = Array.from({ length: this.options.count }, (_, row) => value(row));
    const known = [];
    values.forEach((v, row) => { if (v !== null && v !== "" && v !== undefined) known.push(row); });
    const compare = text ? (a, b) => textOrder.compare(values[a], values[b])
                         : (a, b) => values[a] - values[b];
    known.sort(compare);
    const place = new Int32Array(this.options.count).fill(-1);
    known.forEach((row, i) => {
      place[row] = i > 0 && compare(known[i - 1], row) === 0 ? place[known[i - 1]] : i;
    });
    this.orders.set(k, place);
    return place;
  }

  pages() {
    return Math.max(1, Math.ceil(this.rows.length / this.onAPage));
  }

  show(page) {
    this.page = Math.min(Math.max(page, 0), this.pages() - 1);
    const first = this.page * this.onAPage;
    const shown = this.rows.slice(first, first + this.onAPage);
    this.body.replaceChildren(...shown.map((row) => this.rowElement(row)));
    const total = this.options.count;
    this.status.hidden = total <= this.onAPage && this.rows.length === total;
    this.status.textContent = shown.length === 0 ? "No matching rows."
      : `${count(first + 1)}–${count(first + shown.length)} of ${count(this.rows.length)}` +
        (this.rows.length < total ? ` matches (${count(total)} ${this.options.plural || "rows"})` : ` ${this.options.plural || "rows"}`);
    this.showPager();
  }

  rowElement(row) {
    return element("tr", {}, ...this.columns.map((column) => element(
      column.heads ? "th" : "td",
      { class: this.classOf(column), scope: column.heads ? "row" : undefined }, column.cell(row))));
  }

  showPager() {
    const last = this.pages() - 1;
    this.pager.hidden = last === 0;
    const step = (name, page, possible) => {
      const button = element("button", { type: "button", disabled: !possible }, name);
      button.addEventListener("click", () => this.turnTo(page, name));
      return button;
    };
    this.pager.replaceChildren(
      step("First", 0, this.page > 0), step("Previous", this.page - 1, this.page > 0),
      step("Next", this.page + 1, this.page < last), step("Last", last, this.page < last));
  }

  /// The keyboard stays on the button it was on, or on its neighbour where that is switched off.
  turnTo(page, name) {
    this.show(page);
    const buttons = [...this.pager.children];
    const same = buttons.find((b) => b.textContent === name && !b.disabled);
    (same || buttons.find((b) => !b.disabled)).focus();
  }
}
