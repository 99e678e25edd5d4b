// SPDX-License-Identifier: Apache-2.0
// Files that the reader saves: made here, without a network.

function saveFile(name, type, text) {
  const address = URL.createObjectURL(new Blob([text], { type }));
  const link = element("a", { href: address, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}

/// RFC 4180 with a byte order mark, as the run's own files. A text that a spreadsheet could take
/// for a formula gets an apostrophe; a number never does.
function csvOf(titles, rows) {
  const cell = (value) => {
    if (value === null || value === undefined) return "";
    if (typeof value === "number") return String(value);
    const inert = /^\s*[=+\-@\t\r\0]/.test(value) ? "'" + value : value;
    return /[",\r\n]/.test(inert) ? `"${inert.replaceAll('"', '""')}"` : inert;
  };
  return "\ufeff" + [titles, ...rows].map((row) => row.map(cell).join(",") + "\r\n").join("");
}

/// Letters and digits of a text, for the name of a file.
function fileName(text) {
  return plain(text).replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "") || "area";
}
