// SPDX-License-Identifier: Apache-2.0
// Drawn areas as GeoJSON (RFC 7946: longitude, latitude, WGS 84), written and read.

const degreeDigits = 9; // a tenth of a millimetre

/// `areas`: {name, loops, more}, loops of [y, x]; `figures(area)`: properties that the page adds.
function geojsonOf(areas, degrees, figures) {
  const ring = (loop) => [...loop, loop[0]].map((at) => degrees.of(at).map((v) => Number(v.toFixed(degreeDigits))));
  return JSON.stringify({ type: "FeatureCollection", features: areas.map((area) => ({
    type: "Feature",
    properties: { ...area.more, name: area.name, ...figures(area) },
    geometry: area.loops.length === 1
      ? { type: "Polygon", coordinates: [counterClockwise(ring(area.loops[0]))] }
      : { type: "MultiPolygon", coordinates: area.loops.map((loop) => [counterClockwise(ring(loop))]) } })) }, null, 1);
}

function counterClockwise(ring) {
  let twice = 0;
  for (let k = 0; k + 1 < ring.length; ++k) twice += ring[k][0] * ring[k + 1][1] - ring[k + 1][0] * ring[k][1];
  return twice < 0 ? ring.reverse() : ring;
}

/// The polygons of a GeoJSON text: {areas, left}, `left` says in words what could not be taken.
function areasIn(text, degrees) {
  let data;
  try {
    data = JSON.parse(text);
  } catch {
    return { areas: [], left: "This file is not GeoJSON." };
  }
  const features = data.type === "FeatureCollection" ? data.features || [] : data.type === "Feature" ? [data]
    : [{ type: "Feature", properties: {}, geometry: data }];
  const areas = [];
  let [noPolygon, far] = [0, 0];
  features.forEach((feature, k) => {
    const { type, coordinates } = feature.geometry || {};
    const polygons = type === "Polygon" ? [coordinates] : type === "MultiPolygon" ? coordinates : null;
    if (!polygons) {
      ++noPolygon;
      return;
    }
    const loops = polygons.flat().map((ring) => ring.slice(0, -1).map((at) => degrees.place(at)));
    if (loops.flat().includes(null)) {
      ++far;
      return;
    }
    const { name, area_ha, conifer_ha, exposure_removed, ...more } = feature.properties || {};
    areas.push({ name: String(name ?? `Area ${k + 1}`), loops, more });
  });
  const words = [noPolygon > 0 ? `${noPolygon} without a polygon` : "",
    far > 0 ? `${far} not near this community (GeoJSON is in longitude and latitude)` : ""].filter(Boolean);
  return { areas, left: words.length > 0 ? "Left out: " + words.join(", ") + "." : "" };
}
