// SPDX-License-Identifier: Apache-2.0
// The run's rasters as far as the page holds them: sums over squares of cells. They are unpacked
// when they are first asked for.

function bytesOf(base64) {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; ++i) bytes[i] = text.charCodeAt(i);
  return bytes;
}

/// Floats from planes by byte, the lowest first; `bits` 24: the lowest byte of each is left out.
async function unpackSquares({ side, cols, rows, bits, zlib }) {
  const stream = new Blob([bytesOf(zlib)]).stream().pipeThrough(new DecompressionStream("deflate"));
  const planes = new Uint8Array(await new Response(stream).arrayBuffer());
  const n = cols * rows;
  const words = new Uint32Array(n);
  for (let byte = (32 - bits) / 8, from = 0; byte < 4; ++byte, from += n)
    for (let i = 0; i < n; ++i) words[i] |= planes[from + i] << (8 * byte);
  return { side, cols, rows, values: new Float32Array(words.buffer), sums: [] };
}

/// Sums of a row from its left edge: sums[x] of the squares before column x.
function rowSums(squares, row) {
  return (squares.sums[row] ??= (() => {
    const sums = new Float64Array(squares.cols + 1);
    for (let x = 0; x < squares.cols; ++x) sums[x + 1] = sums[x] + squares.values[row * squares.cols + x];
    return sums;
  })());
}

/// The rasters of the page, or null where it has none.
class Ground {
  constructor(page) {
    this.page = page;
    this.unpacking = {};
  }

  /// Unpacks one of them, `points` or `conifer`; null where the page has none.
  async load(kind) {
    this.data ??= (await dataInFull(this.page)).ground;
    return (this.unpacking[kind] ??= (async () => (this[kind] = this.data[kind] && (await unpackSquares(this.data[kind]))))());
  }

  /// Column and row, in cells, of a place [y, x] of the page.
  cellOf([y, x]) {
    const t = this.data.to_cells;
    return [t[0] + t[1] * x + t[2] * y, t[3] + t[4] * x + t[5] * y];
  }

  /// "to the cell of 1 m", "by squares of 4 m": how finely the page can tell.
  resolution(kind) {
    const { side, bits } = this.data[kind];
    const metres = figure(side * Math.sqrt(this.data.cell_m2), side === 1 && this.data.cell_m2 % 1 ? 1 : 0);
    if (side > 1) return `in squares of ${metres} m`;
    return bits === 32 ? `in cells of ${metres} m, as in priority.tif` : `in cells of ${metres} m, rounded to 1 part in 65,536`;
  }
}
