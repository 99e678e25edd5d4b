// SPDX-License-Identifier: Apache-2.0
// The address table with its search, which says why nothing fits, and saves what it shows.

/// Text to search in: lower case, without accents.
function plain(text) {
  const bare = /^[\x20-\x7e]*$/.test(text) ? text : text.normalize("NFD").replace(/[\u0300-\u036f]/g, "");
  return bare.toLowerCase();
}

/// `onRow(structure, row)` is called for the address that is clicked.
class AddressList {
  constructor(data, scale, onRow) {
    Object.assign(this, { data, scale, onRow });
    this.host = section("addresses");
    this.addFilters();
    const host = element("div", {});
    this.why = element("p", { class: "why", role: "status" });
    this.host.append(this.why, host);
    this.columns = this.columnsOf();
    this.table = new PagedTable(host, { caption: "Addresses by exposure", plural: "addresses",
      count: data.addresses.text.length, columns: this.columns,
      beside: actionButton("Save these rows as CSV", () => this.save()) });
    whenIdle(() => this.prepare());
  }

  at(name, row) {
    return this.data.structures[name][this.data.addresses.structure[row]];
  }

  place(row) {
    const n = this.at("neighbourhood", row);
    return n === null ? "" : this.data.neighbourhoods[n].name;
  }

  columnsOf() {
    const { text, structure } = this.data.addresses;
    const s = this.data.structures;
    const { number } = columnMakers((name, row) => this.at(name, row));
    const name = (row) => linkButton(() => this.onRow(structure[row], row), addressName(text[row], this.at("id", row)));
    const columns = [
      number("Rank", "rank", 0),
      { title: "Address", text: true, heads: true, value: (row) => text[row], cell: name },
      { title: "Neighbourhood", text: true, wide: true, value: (row) => this.place(row), cell: (row) => dataText(this.place(row)) },
      number("Exposure", "exposure", 1, { down: true, cell: (row) => withSwatch(this.at("exposure", row), this.scale) }),
      number("Nearest conifer, m", "nearest_conifer_m", 1, { middle: true }),
      ...this.data.rings.map((ring, k) => {
        const share = (row) => s.conifer_frac[k][structure[row]];
        return { title: `Conifers ${ring}, %`, wide: true, name: "ring", down: true, value: share, cell: (row) => perCent(share(row)) };
      }),
      { title: "Note", text: true, wide: true, name: "note", value: (row) => flagText(this.at("flags", row)),
        cell: (row) => flagText(this.at("flags", row)) },
    ];
    if (s.range)
      columns.splice(4, 0, { title: "Likely range", wide: true, down: true, value: (row) => s.range.high[structure[row]],
        cell: (row) => rangeCell(s.range.low[structure[row]], s.range.high[structure[row]]) });
    return this.data.neighbourhoods.length > 1 ? columns : columns.filter(({ title }) => title !== "Neighbourhood");
  }

  addFilters() {
    this.search = element("input", { type: "search", id: "search", autocomplete: "off" });
    this.chosen = element("select", {}, element("option", { value: "" }, "all"));
    this.data.neighbourhoods.forEach((row, n) => {
      if (row.kind !== "community") this.chosen.append(element("option", { value: n }, row.name));
    });
    this.near = element("input", { type: "checkbox" });
    this.host.append(element("div", { class: "filters" },
      element("label", {}, "Search ", this.search),
      ...(this.data.neighbourhoods.length > 1 ? [element("label", {}, "Neighbourhood ", this.chosen)] : []),
      element("label", {}, this.near, `only homes with conifers within ${this.data.near_m} m`)));
    this.search.addEventListener("input", () => this.apply());
    this.chosen.addEventListener("change", () => this.apply());
    this.near.addEventListener("change", () => this.apply());
  }

  /// Made when there is time, at the latest when somebody searches.
  prepare() {
    this.searched ??= this.data.addresses.text.map((address, row) => plain(`${address} ${this.at("id", row)} ${this.place(row)}`));
  }

  /// The tests that a row has to pass, with the words for why it does not.
  tests() {
    this.prepare();
    const words = plain(this.search.value).split(/\s+/).filter(Boolean);
    const wanted = this.chosen.value === "" ? null : Number(this.chosen.value);
    const tests = { words: (row) => words.every((word) => this.searched[row].includes(word)) };
    if (wanted !== null) tests.place = (row) => this.at("neighbourhood", row) === wanted;
    if (this.near.checked)
      tests.near = (row) => { const d = this.at("nearest_conifer_m", row); return d !== null && d <= this.data.near_m; };
    return tests;
  }

  apply() {
    const tests = Object.values(this.tests());
    this.table.keep((row) => tests.every((test) => test(row)));
    this.sayWhy();
  }

  /// The filters that are on, each with a way out; why nothing fits, and where it would.
  sayWhy() {
    this.why.replaceChildren();
    const place = this.chosen.value === "" ? null : this.data.neighbourhoods[this.chosen.value].name;
    if (place !== null)
      this.why.append(actionButton("×", () => { this.chosen.value = ""; this.apply(); }, { class: "chip",
        "aria-label": `Show all neighbourhoods, not only ${place}` }));
    if (place !== null) this.why.firstChild.prepend(dataText(place), " ");
    if (this.table.rows.length > 0) return;
    const { words } = this.tests();
    const elsewhere = this.data.addresses.text.reduce((n, _, row) => n + (words(row) ? 1 : 0), 0);
    const searched = this.search.value.trim();
    const filters = [place === null ? null : ["in", dataText(place)], this.near.checked ? [`with conifers within ${this.data.near_m} m`] : null].filter(Boolean);
    if (filters.length === 0 || elsewhere === 0) {
      this.why.append(" No address, neighbourhood or structure has ", dataText(`“${searched}”`), ". Check the spelling, or search for fewer words. ",
        actionButton("Clear the search", () => this.clear()));
      return;
    }
    this.why.append(searched ? " No address fits " : " There is no address ", ...(searched ? [dataText(`“${searched}”`), " "] : []), ...filters.flat().flatMap((f, k) => (k > 0 ? [" ", f] : [f])), `. ${count(elsewhere)} ${elsewhere === 1 ? "fits" : "fit"} without that: `,
      actionButton(`Show ${elsewhere === 1 ? "it" : "all " + count(elsewhere)}`, () => { this.chosen.value = ""; this.near.checked = false; this.apply(); }));
  }

  clear() {
    this.search.value = "";
    this.chosen.value = "";
    this.near.checked = false;
    this.apply();
  }

  only(n) {
    this.search.value = "";
    this.chosen.value = n === null ? "" : String(n);
    this.apply();
  }

  /// Every row that fits, in the order on the screen, with full digits.
  save() {
    const { text } = this.data.addresses;
    const titles = ["Address", "Structure", ...this.columns.filter(({ heads }) => !heads).map(({ title }) => title.replaceAll("\u00a0", " "))];
    const rows = this.table.rows.map((row) => [text[row], this.at("id", row),
      ...this.columns.filter(({ heads }) => !heads).map(({ value, title }) => {
        const cell = value(row);
        return title.endsWith("%") && typeof cell === "number" ? Number((100 * cell).toFixed(4)) : cell;
      })]);
    saveFile(fileName(this.data.community) + "-addresses.csv", "text/csv", csvOf(titles, rows));
  }

  /// The row of an address by its text, or of a structure by its id; -1 for none.
  find(address, structure) {
    return this.data.addresses.text.findIndex((text, row) =>
      structure !== null ? this.at("id", row) === structure : text === address && text !== "");
  }
}

/// "29.9–33.8"
function rangeCell(low, high) {
  if (low === null || low === undefined) return unknown;
  return element("span", { class: "likely" }, `${figure(low, 1)}–${figure(high, 1)}`);
}
