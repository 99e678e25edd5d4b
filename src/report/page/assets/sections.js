// SPDX-License-Identifier: Apache-2.0
// The sections that the script fills.

function section(id) {
  const found = document.getElementById(id);
  if (found) found.hidden = false;
  return found;
}

/// A value of a table's column, or of all columns by name.
function columnsByName(columns) {
  return Object.fromEntries(columns.map(({ name, cells }) => [name, cells]));
}

/// Makers of columns, of numbers with so many decimals and of texts of the data; `at(name, row)`
/// is a cell, `more` what else a column has.
function columnMakers(at) {
  return {
    number: (title, name, decimals, more) => ({ title, value: (row) => at(name, row),
      cell: (row) => figure(at(name, row), decimals), ...more }),
    words: (title, name, more) => ({ title, text: true, value: (row) => at(name, row),
      cell: (row) => dataText(at(name, row)), ...more }),
  };
}

/// The ranking: `onName(row)` is called for a neighbourhood with ground of its own.
function showRanking(data, scale, onName) {
  const all = data.neighbourhoods;
  const community = all.length - 1;
  const allMeasured = all[community].known_near === all[community].structures; // so in every row
  const ofHowMany = (part, whole) => (allMeasured ? count(part) : whole > 0 ? `${count(part)} of ${count(whole)}` : unknown);
  const { number, words } = columnMakers((name, i) => all[i][name]);
  const columns = [
    number("Rank", "rank", 0),
    words("Neighbourhood", "name", { heads: true,
      cell: (i) => (all[i].shape ? nameButton(all[i].name, () => onName(i)) : dataText(all[i].name)) }),
    number(allMeasured ? "Buildings" : "Measured", "measured", 0, { down: true, wide: true,
      cell: (i) => ofHowMany(all[i].measured, all[i].structures) }),
    { title: `With conifers within ${data.near_m} m`, down: true,
      value: (i) => (all[i].known_near > 0 || allMeasured ? all[i].near : null),
      cell: (i) => ofHowMany(all[i].near, all[i].known_near) },
    number("Mean exposure", "mean", 1, { down: true, cell: (i) => withSwatch(all[i].mean, scale) }),
  ];
  if (all[community].classes)
    columns.push(number("Buildings by exposure", "p90", 1, { wide: true, down: true,
      cell: (i) => distribution(all[i].classes, all[i].structures - all[i].measured, scale) }));
  const k = data.outer_m.indexOf(data.near_m);
  columns.push({ title: `Conifers within ${data.near_m} m, ha`, wide: true, down: true,
    value: (i) => all[i].hectares[k] ?? null, cell: (i) => figure(all[i].hectares[k], 2) });
  return new PagedTable(document.getElementById("ranking"), { caption: "Neighbourhoods by mean exposure",
    count: community, footer: community, columns });
}

function nameButton(name, act) {
  const button = element("button", { type: "button", class: "name" }, dataText(name));
  button.addEventListener("click", act);
  return button;
}

function withSwatch(exposure, scale) {
  return element("span", { class: "with-swatch" }, swatch(scale.colourOf(exposure)),
    figure(exposure, 1));
}

/// Text to search in: lower case, without accents.
function plain(text) {
  const bare = /^[\x20-\x7e]*$/.test(text) ? text : text.normalize("NFD").replace(/[\u0300-\u036f]/g, "");
  return bare.toLowerCase();
}

/// The address table with its search; `onRow(structure)` is called for the address that is clicked.
function showAddresses(data, scale, onRow) {
  const host = section("addresses");
  const { text, structure } = data.addresses;
  const s = data.structures;
  const at = (name, row) => s[name][structure[row]];
  const place = (row) => {
    const n = at("neighbourhood", row);
    return n === null ? "" : data.neighbourhoods[n].name;
  };
  const { number } = columnMakers(at);
  const columns = [
    number("Rank", "rank", 0),
    { title: "Address", text: true, heads: true, value: (row) => text[row],
      cell: (row) => nameButton(text[row] || "(no address) " + at("id", row), () => onRow(structure[row])) },
    { title: "Neighbourhood", text: true, wide: true, value: place, cell: (row) => dataText(place(row)) },
    number("Exposure", "exposure", 1, { down: true, cell: (row) => withSwatch(at("exposure", row), scale) }),
    number("Nearest conifer, m", "nearest_conifer_m", 1),
    ...data.rings.map((ring, k) => {
      const share = (row) => s.conifer_frac[k][structure[row]];
      return { title: `Conifers ${ring}, %`, wide: true, down: true, value: share,
        cell: (row) => perCent(share(row)) };
    }),
    { title: "Note", text: true, wide: true, name: "note", value: (row) => flagText(at("flags", row)),
      cell: (row) => flagText(at("flags", row)) },
  ];
  const filters = addFilters(host, data);
  const tableHost = element("div", {});
  host.append(tableHost);
  const table = new PagedTable(tableHost, { caption: "Addresses by exposure", plural: "addresses",
    count: text.length, columns });
  let searched = null; // made when there is time, at the latest when somebody searches
  const prepare = () => {
    searched ??= text.map((address, row) => plain(`${address} ${s.id[structure[row]]} ${place(row)}`));
  };
  requestIdleCallback(prepare);
  const apply = () => {
    prepare();
    const words = plain(filters.search.value).split(/\s+/).filter(Boolean);
    const wanted = filters.place.value === "" ? null : Number(filters.place.value);
    const near = filters.near.checked;
    table.keep((row) => {
      const i = structure[row];
      return (wanted === null || s.neighbourhood[i] === wanted) &&
        (!near || (s.nearest_conifer_m[i] !== null && s.nearest_conifer_m[i] <= data.near_m)) &&
        words.every((word) => searched[row].includes(word));
    });
  };
  filters.search.addEventListener("input", apply);
  filters.place.addEventListener("change", apply);
  filters.near.addEventListener("change", apply);
  return { table, only: (n) => { filters.place.value = String(n); apply(); } };
}

function addFilters(host, data) {
  const search = element("input", { type: "search", id: "search", autocomplete: "off" });
  const place = element("select", {}, element("option", { value: "" }, "all"));
  data.neighbourhoods.forEach((row, n) => {
    if (row.kind !== "community") place.append(element("option", { value: n }, row.name));
  });
  const near = element("input", { type: "checkbox" });
  host.append(element("div", { class: "filters" },
    element("label", {}, "Search ", search),
    element("label", {}, "Neighbourhood ", place),
    element("label", {}, near, `only homes with conifers within ${data.near_m} m`)));
  return { search, place, near };
}

function showCurve(data) {
  const host = document.getElementById("curve");
  if (!host || !data.curve) return;
  const c = columnsByName(data.curve);
  const line = (shares) => [[0, 0], ...c.conifer_ha.map((ha, i) => [ha, 100 * shares[i]])];
  const series = [{ name: "plans made of patches, one per budget", points: line(c.share_of_exposure_removed) },
    { name: "upper limit for any plan, cutting cell by cell", points: line(c.most_removable_share), dashed: true }];
  const label = "Per cent of total exposure removed, by hectares of conifers cleared; the table " +
    "below has the same numbers";
  host.append(lineChart({ series, label, xMarks: ticks(Math.max(...c.conifer_ha)), yMarks: [0, 20, 40, 60, 80, 100],
    xTitle: "hectares of conifers cleared", yTitle: "exposure lowered by, %" }), lineKey(series));
}

function showUnits(data) {
  const host = document.getElementById("units");
  if (!host || !data.units) return;
  const c = columnsByName(data.units.columns);
  const { number, words } = columnMakers((name, i) => c[name][i]);
  const columns = [
    number("Rank", "rank", 0, { heads: true }), words("Neighbourhood", "neighbourhood"),
    words("Owner", "owner", { wide: true }),
    ...(c.cost ? [words("Method", "method", { wide: true })] : []),
    number("Conifers, m²", "conifer_m2", 0, { down: true }),
    ...(c.cost ? [number("Cost", "cost", 0, { down: true })] : []),
    number("Points of exposure removed", "exposure_removed", 1, { down: true }),
    number(`Buildings within ${data.reach_m} m`, "homes_in_reach", 0, { down: true, wide: true })];
  new PagedTable(host, { caption: "Patches to clear, best value first", count: c.rank.length, columns,
    onAPage: 20 });
}

/// How exposures changed since the earlier run, largest change first, as the run wrote it.
function showChanges(data) {
  const host = document.getElementById("changed-homes");
  if (!host || !data.changes) return;
  const c = columnsByName(data.changes);
  const { number, words } = columnMakers((name, i) => c[name][i]);
  const columns = [
    words("Address", "address", { heads: true,
      cell: (i) => dataText(c.address[i] || "(no address) " + c.structure_id[i]) }),
    words("Neighbourhood", "neighbourhood", { wide: true }),
    number("Exposure before", "exposure_before", 1), number("Exposure after", "exposure_after", 1),
    number("Change, points", "exposure_change", 1), number("Rank before", "rank_before", 0, { wide: true }),
    number("Rank after", "rank_after", 0, { wide: true }), words("Building", "status", { wide: true })];
  new PagedTable(host, { caption: "Change in exposure by address", count: c.address.length, columns,
    onAPage: 20 });
}
