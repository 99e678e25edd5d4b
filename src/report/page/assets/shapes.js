// SPDX-License-Identifier: Apache-2.0
// Shapes of the data: loops of decimetres, each vertex relative to the one before it.

/// Loops of a shape as points in metres, y north first, as Leaflet has them.
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

/// [[south, west], [north, east]] around loops.
function boundsOf(loops) {
  const box = [[Infinity, Infinity], [-Infinity, -Infinity]];
  for (const loop of loops)
    for (const [y, x] of loop) {
      box[0] = [Math.min(box[0][0], y), Math.min(box[0][1], x)];
      box[1] = [Math.max(box[1][0], y), Math.max(box[1][1], x)];
    }
  return box;
}
