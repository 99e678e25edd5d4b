// SPDX-License-Identifier: Apache-2.0
// Where a run has no neighbourhoods: the places with the highest exposure, squares of the plane named
// after the address in their middle.

const placeSide = 150; // metres
const fewestInPlace = 3;
const mostPlaces = 15;

/// [{middle, homes, mean, above}], highest mean first.
function placesOf(data, middles) {
  const squares = new Map();
  data.structures.exposure.forEach((exposure, i) => {
    if (exposure === null) return;
    const key = `${Math.floor(middles.x[i] / placeSide)} ${Math.floor(middles.y[i] / placeSide)}`;
    if (!squares.has(key)) squares.set(key, []);
    squares.get(key).push(i);
  });
  const mean = (values) => values.reduce((sum, v) => sum + v, 0) / values.length;
  return [...squares.values()].filter((homes) => homes.length >= fewestInPlace).map((homes) => ({ homes,
    middle: [middles.y, middles.x].map((at) => mean(homes.map((i) => at[i]))),
    mean: mean(homes.map((i) => data.structures.exposure[i])),
    above: homes.filter((i) => data.structures.exposure[i] >= 10).length }))
    .sort((a, b) => b.mean - a.mean).slice(0, mostPlaces);
}

function showPlaces(data, scale, map, nameOf) {
  const places = placesOf(data, map.middles);
  const name = (p) => {
    const near = p.homes.map((i) => ({ i, d: Math.hypot(map.middles.y[i] - p.middle[0], map.middles.x[i] - p.middle[1]) }));
    return "around " + nameOf(near.reduce((a, b) => (b.d < a.d ? b : a)).i);
  };
  const names = places.map(name);
  const bounds = ({ homes }) => homes.reduce((box, i) => box.extend(map.buildings[i].getBounds()), L.latLngBounds([]));
  const columns = [
    { title: "Place", text: true, heads: true, value: (k) => names[k],
      cell: (k) => linkButton(() => map.goTo(bounds(places[k]).pad(0.2)), dataText(names[k])) },
    { title: "Buildings", down: true, value: (k) => places[k].homes.length, cell: (k) => count(places[k].homes.length) },
    { title: "Exposure of 10 or more", down: true, value: (k) => places[k].above, cell: (k) => count(places[k].above) },
    { title: "Mean exposure", down: true, value: (k) => places[k].mean, cell: (k) => withSwatch(places[k].mean, scale) }];
  new PagedTable(document.getElementById("ranking"), { count: places.length, columns,
    caption: `Squares of ${placeSide} m with the highest mean exposure, of ${fewestInPlace} buildings or more` });
}
