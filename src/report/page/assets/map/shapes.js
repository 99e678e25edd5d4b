// SPDX-License-Identifier: Apache-2.0
// Shapes of the data on the page's plane: metres, x east and y north.

/// Loops of a shape of the data (decimetres, each vertex relative to the one before it) as points
/// in metres, y north first, as Leaflet has them.
function loopsOf(shape) {
  return shape.map((steps) => {
    const points = [];
    let x = 0;
    let y = 0;
    for (let k = 0; k < steps.length; k += 2) {
      x += steps[k];
      y += steps[k + 1];
      points.push([y / 10, x / 10]);
    }
    return points;
  });
}

/// The middle of the box around loops, [y, x].
function middleOf(loops) {
  let [south, west, north, east] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const loop of loops)
    for (const [y, x] of loop) {
      south = Math.min(south, y);
      north = Math.max(north, y);
      west = Math.min(west, x);
      east = Math.max(east, x);
    }
  return [(south + north) / 2, (west + east) / 2];
}

/// Those of all shapes: {y, x}, each by building.
function middlesOf(shapes) {
  const middles = { y: new Float64Array(shapes.length), x: new Float64Array(shapes.length) };
  shapes.forEach((shape, i) => { [middles.y[i], middles.x[i]] = middleOf(loopsOf(shape)); });
  return middles;
}

/// Even-odd: is a point [y, x] inside loops?
function isInside(loops, [y, x]) {
  let inside = false;
  for (const loop of loops)
    for (let i = 0, j = loop.length - 1; i < loop.length; j = i++) {
      const [yi, xi] = loop[i];
      const [yj, xj] = loop[j];
      if (yi > y !== yj > y && x < xi + ((y - yi) / (yj - yi)) * (xj - xi)) inside = !inside;
    }
  return inside;
}

/// The building nearest to a place [y, x] and how far its middle is away: {i, distance}.
function nearestOf(middles, [y, x]) {
  let [best, square] = [null, Infinity];
  for (let i = 0; i < middles.x.length; ++i) {
    const dy = middles.y[i] - y;
    const dx = middles.x[i] - x;
    const here = dy * dy + dx * dx;
    if (here < square) [best, square] = [i, here];
  }
  return { i: best, distance: Math.sqrt(square) };
}
