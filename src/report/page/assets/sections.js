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
      cell: (i) => (all[i].shape ? linkButton(() => onName(i), dataText(all[i].name)) : dataText(all[i].name)) }),
    number(allMeasured ? "Buildings" : "Measured", "measured", 0, { down: true, wide: true,
      cell: (i) => ofHowMany(all[i].measured, all[i].structures) }),
    { title: `With conifers within ${data.near_m} m`, down: true,
      value: (i) => (all[i].known_near > 0 || allMeasured ? all[i].near : null),
      cell: (i) => ofHowMany(all[i].near, all[i].known_near) },
    number(all.some((row) => row.range) ? "Mean exposure, likely range" : "Mean exposure", "mean", 1, { down: true,
      cell: (i) => element("span", {}, withSwatch(all[i].mean, scale), ...(all[i].range ? [rangeCell(...all[i].range)] : [])) }),
  ];
  if (all[community].classes)
    columns.push({ title: "Buildings by exposure, %", wide: true, down: true, value: (i) => all[i].p90 ?? null,
      cell: (i) => distribution(all[i].classes, all[i].structures - all[i].measured, scale) });
  if (data.history && data.structures)
    columns.push({ title: `Since ${data.history.dates[0].slice(0, 4)}`, wide: true, value: (i) => changeOf(data.history.rows[i]),
      cell: (i) => spark(data.history, i) });
  const k = data.outer_m.indexOf(data.near_m);
  if (!data.history) // there is room for one of the two
    columns.push({ title: `Conifers within ${data.near_m} m, ha`, wide: true, down: true,
      value: (i) => all[i].hectares[k] ?? null, cell: (i) => figure(all[i].hectares[k], 2) });
  return new PagedTable(document.getElementById("ranking"), { caption: "Neighbourhoods by mean exposure",
    count: community, footer: community, columns });
}

function withSwatch(exposure, scale) {
  return element("span", { class: "with-swatch" }, scale.swatchOf(exposure), figure(exposure, 1));
}

/// What an address is called: its text, or the structure's id, which stays in one line.
function addressName(text, id) {
  return text === "" ? element("span", { class: "whole" }, "(no address) " + id) : dataText(text);
}

/// How exposures changed since the earlier run, largest change first, as the run wrote it.
function showChanges(data) {
  const host = document.getElementById("changed-homes");
  if (!host || !data.changes) return;
  const c = columnsByName(data.changes);
  const { number, words } = columnMakers((name, i) => c[name][i]);
  const columns = [
    words("Address", "address", { heads: true,
      cell: (i) => addressName(c.address[i], c.structure_id[i]) }),
    words("Neighbourhood", "neighbourhood", { wide: true }),
    number("Exposure before", "exposure_before", 1), number("Exposure after", "exposure_after", 1),
    number("Change, points", "exposure_change", 1), number("Rank before", "rank_before", 0, { wide: true }),
    number("Rank after", "rank_after", 0, { wide: true }), words("Building", "status", { wide: true })];
  new PagedTable(host, { caption: "Change in exposure by address", count: c.address.length, columns,
    onAPage: 20 });
}
