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

/// The ranking: `onName(row)` is called for a neighbourhood with ground of its own.
function showRanking(data, scale, onName) {
  const all = data.neighbourhoods;
  const community = all.length - 1;
  const row = (i) => all[i];
  const allMeasured = row(community).known_near === row(community).structures; // so in every row
  const ofHowMany = (part, whole) => (allMeasured ? count(part) : whole > 0 ? `${count(part)} of ${count(whole)}` : unknown);
  const columns = [
    { title: "Rank", value: (i) => row(i).rank, cell: (i) => figure(row(i).rank, 0) },
    { title: "Neighbourhood", text: true, heads: true, value: (i) => row(i).name,
      cell: (i) => (row(i).shape ? nameButton(row(i).name, () => onName(i)) : dataText(row(i).name)) },
    { title: allMeasured ? "Buildings" : "Measured", down: true, wide: true,
      value: (i) => row(i).measured, cell: (i) => ofHowMany(row(i).measured, row(i).structures) },
    { title: `With conifers within ${data.near_m} m`, down: true,
      value: (i) => (row(i).known_near > 0 || allMeasured ? row(i).near : null),
      cell: (i) => ofHowMany(row(i).near, row(i).known_near) },
    { title: "Mean exposure", down: true, value: (i) => row(i).mean,
      cell: (i) => withSwatch(row(i).mean, scale) },
  ];
  if (row(community).classes)
    columns.push({ title: "Buildings by exposure", wide: true, down: true,
      value: (i) => row(i).p90, cell: (i) => distribution(row(i).classes, row(i).structures - row(i).measured, scale) });
  const k = data.outer_m.indexOf(data.near_m);
  columns.push({ title: `Conifers within ${data.near_m} m, ha`, wide: true, down: true,
    value: (i) => row(i).hectares[k] ?? null, cell: (i) => figure(row(i).hectares[k], 2) });
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
  const of = (column) => (row) => column[structure[row]];
  const place = (row) => {
    const n = s.neighbourhood[structure[row]];
    return n === null ? "" : data.neighbourhoods[n].name;
  };
  const nameOf = (row) => text[row] || "(no address) " + s.id[structure[row]];
  const columns = [
    { title: "Rank", value: of(s.rank), cell: (row) => figure(of(s.rank)(row), 0) },
    { title: "Address", text: true, heads: true, value: (row) => text[row],
      cell: (row) => nameButton(nameOf(row), () => onRow(structure[row])) },
    { title: "Neighbourhood", text: true, wide: true, value: place, cell: (row) => dataText(place(row)) },
    { title: "Exposure", down: true, value: of(s.exposure),
      cell: (row) => withSwatch(of(s.exposure)(row), scale) },
    { title: "Nearest conifer, m", value: of(s.nearest_conifer_m),
      cell: (row) => figure(of(s.nearest_conifer_m)(row), 1) },
    ...data.rings.map((ring, k) => ({ title: `Conifers ${ring}, %`, wide: true, down: true,
      value: of(s.conifer_frac[k]), cell: (row) => perCent(of(s.conifer_frac[k])(row)) })),
    { title: "Note", text: true, wide: true, name: "note", value: (row) => flagText(of(s.flags)(row)),
      cell: (row) => flagText(of(s.flags)(row)) },
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
  const xMarks = ticks(Math.max(...c.conifer_ha)).map((v) => ({ at: v, name: String(v) }));
  host.append(lineChart({ series, label, xMarks, yMarks: [0, 20, 40, 60, 80, 100],
    xTitle: "hectares of conifers cleared", yTitle: "exposure lowered by, %" }), lineKey(series));
}

function showUnits(data) {
  const host = document.getElementById("units");
  if (!host || !data.units) return;
  const c = columnsByName(data.units.columns);
  const number = (title, name, decimals) => ({ title, down: true, value: (i) => c[name][i],
    cell: (i) => figure(c[name][i], decimals) });
  const words = (title, name, wide) => ({ title, text: true, wide, value: (i) => c[name][i],
    cell: (i) => dataText(c[name][i]) });
  const columns = [
    { title: "Rank", heads: true, value: (i) => c.rank[i], cell: (i) => String(c.rank[i]) },
    words("Neighbourhood", "neighbourhood"), words("Owner", "owner", true),
    ...(c.cost ? [words("Method", "method", true)] : []),
    number("Conifers, m²", "conifer_m2", 0), ...(c.cost ? [number("Cost", "cost", 0)] : []),
    number("Points of exposure removed", "exposure_removed", 1),
    { ...number(`Buildings within ${data.reach_m} m`, "homes_in_reach", 0), wide: true }];
  new PagedTable(host, { caption: "Patches to clear, best value first", count: c.rank.length, columns,
    onAPage: 20 });
}

/// How exposures changed since the earlier run, largest change first, as the run wrote it.
function showChanges(data) {
  const host = document.getElementById("changed-homes");
  if (!host || !data.changes) return;
  const c = columnsByName(data.changes);
  const number = (title, name, decimals, wide) => ({ title, wide, value: (i) => c[name][i],
    cell: (i) => figure(c[name][i], decimals) });
  const columns = [
    { title: "Address", text: true, heads: true, value: (i) => c.address[i],
      cell: (i) => dataText(c.address[i] || "(no address) " + c.structure_id[i]) },
    { title: "Neighbourhood", text: true, wide: true, value: (i) => c.neighbourhood[i],
      cell: (i) => dataText(c.neighbourhood[i]) },
    number("Exposure before", "exposure_before", 1), number("Exposure after", "exposure_after", 1),
    number("Change, points", "exposure_change", 1), number("Rank before", "rank_before", 0, true),
    number("Rank after", "rank_after", 0, true),
    { title: "Building", text: true, wide: true, value: (i) => c.status[i], cell: (i) => c.status[i] }];
  new PagedTable(host, { caption: "Change in exposure by address", count: c.address.length, columns,
    onAPage: 20 });
}
