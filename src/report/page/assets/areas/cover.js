// SPDX-License-Identifier: Apache-2.0
// What areas cover, exactly: a square that lies half inside counts half, ground in several areas
// counts once, ground of `without` not at all. Each area is filled even-odd.
//
// All edges are cut at whole rows, at their ends and where they cross. Between two such heights they
// do not change their order, so a walk from left to right finds where the union begins and ends. With
// F the sum of a row from its left edge (linear inside a square), what lies between two edges is the
// integral of F over height along the right one less that along the left one (Green's theorem).

/// Edges that rise, with the number of the polygon they belong to.
function edgesOf(polygons) {
  const edges = [];
  polygons.forEach((loops, polygon) => {
    for (const loop of loops)
      loop.forEach(([x0, y0], k) => {
        const [x1, y1] = loop[(k + 1) % loop.length];
        if (y0 === y1) return;
        edges.push(y0 < y1 ? { x0, y0, x1, y1, polygon } : { x0: x1, y0: y1, x1: x0, y1: y0, polygon });
      });
  });
  return edges.sort((a, b) => a.y0 - b.y0);
}

function xAt(edge, y) {
  return edge.x0 + ((y - edge.y0) / (edge.y1 - edge.y0)) * (edge.x1 - edge.x0);
}

/// Heights at which edges cross each other.
function crossings(edges) {
  const heights = [];
  for (let i = 0; i < edges.length; ++i)
    for (let j = i + 1; j < edges.length && edges[j].y0 < edges[i].y1; ++j) {
      const low = edges[j].y0;
      const high = Math.min(edges[i].y1, edges[j].y1);
      const before = xAt(edges[i], low) - xAt(edges[j], low);
      const after = xAt(edges[i], high) - xAt(edges[j], high);
      if ((before < 0 && after > 0) || (before > 0 && after < 0))
        heights.push(low + ((high - low) * before) / (before - after));
    }
  return heights;
}

/// Calls visit(row, sign, xa, ya, xb, yb) for each stretch of the union's boundary inside a row:
/// sign -1 where the union begins, 1 where it ends.
function walkUnion(areas, without, visit) {
  const edges = edgesOf([...areas, ...without]);
  const heights = new Set(crossings(edges));
  for (const { y0, y1 } of edges) {
    heights.add(y0).add(y1);
    for (let row = Math.ceil(y0); row < y1; ++row) heights.add(row);
  }
  const cuts = Float64Array.from(heights).sort();
  let next = 0;
  let active = [];
  for (let k = 0; k + 1 < cuts.length; ++k) {
    const [low, high] = [cuts[k], cuts[k + 1]];
    while (next < edges.length && edges[next].y0 <= low) active.push(edges[next++]);
    active = active.filter((edge) => edge.y1 > low);
    const middle = (low + high) / 2;
    const ordered = active.map((edge) => ({ edge, x: xAt(edge, middle) })).sort((a, b) => a.x - b.x);
    const inside = new Set();
    let [inAreas, inWithout] = [0, 0];
    for (const { edge } of ordered) {
      const was = inAreas > 0 && inWithout === 0;
      const step = inside.delete(edge.polygon) ? -1 : (inside.add(edge.polygon), 1);
      if (edge.polygon < areas.length) inAreas += step;
      else inWithout += step;
      const is = inAreas > 0 && inWithout === 0;
      if (was !== is) visit(Math.floor(middle), is ? -1 : 1, xAt(edge, low), low, xAt(edge, high), high);
    }
  }
}

/// Areas of the page (loops of [y, x]) as polygons in columns and rows of squares of `side` cells.
function inSquares(ground, areas, side) {
  return areas.map((loops) => loops.map((loop) => loop.map((at) => ground.cellOf(at).map((v) => v / side))));
}

/// Square metres that areas cover together.
function coveredM2(ground, areas) {
  let cells = 0;
  walkUnion(inSquares(ground, areas, 1), [], (row, sign, xa, ya, xb, yb) => {
    cells += (sign * (yb - ya) * (xa + xb)) / 2;
  });
  return cells * ground.data.cell_m2;
}

/// The integral of F along a stretch within a row.
function integralAlong(squares, row, xa, ya, xb, yb) {
  const sums = rowSums(squares, row);
  const F = (x) => {
    const at = Math.min(Math.max(x, 0), squares.cols);
    const i = Math.min(Math.floor(at), squares.cols - 1);
    return sums[i] + (at - i) * squares.values[row * squares.cols + i];
  };
  if (xa === xb) return (yb - ya) * F(xa);
  const slope = (yb - ya) / Math.abs(xb - xa);
  const [from, to] = [Math.min(xa, xb), Math.max(xa, xb)];
  let sum = 0;
  for (let x = from; x < to;) {
    const end = Math.min(to, Math.floor(x) + 1);
    sum += (end - x) * F((x + end) / 2);
    x = end;
  }
  return slope * sum;
}

/// What squares hold of areas, less what lies under `without`.
function sumOver(ground, squares, areas, without = []) {
  let sum = 0;
  walkUnion(inSquares(ground, areas, squares.side), inSquares(ground, without, squares.side),
    (row, sign, xa, ya, xb, yb) => {
      if (row >= 0 && row < squares.rows) sum += sign * integralAlong(squares, row, xa, ya, xb, yb);
    });
  return sum;
}
