// SPDX-License-Identifier: Apache-2.0
// Places of the page's plane as longitudes and latitudes, by a polynomial through a pattern of
// places that the run's own operation gave (Lagrange, degree 4 each way), and back by Newton's steps.

class Degrees {
  constructor({ box, nodes, lonlat }) {
    Object.assign(this, { box, nodes, lonlat });
  }

  /// The weights of the nodes at `t`, 0 to nodes - 1.
  weights(t) {
    return Array.from({ length: this.nodes }, (_, i) => {
      let weight = 1;
      for (let j = 0; j < this.nodes; ++j) if (j !== i) weight *= (t - j) / (i - j);
      return weight;
    });
  }

  /// [longitude, latitude] of a place [y, x].
  of([y, x]) {
    const [west, south, east, north] = this.box;
    const across = this.weights(((x - west) / (east - west)) * (this.nodes - 1));
    const up = this.weights(((y - south) / (north - south)) * (this.nodes - 1));
    const at = [0, 0];
    this.lonlat.forEach((node, k) => {
      const weight = up[Math.floor(k / this.nodes)] * across[k % this.nodes];
      at[0] += weight * node[0];
      at[1] += weight * node[1];
    });
    return at;
  }

  /// The place [y, x] of a longitude and latitude; null where it is far off the page.
  place([lon, lat]) {
    const [west, south, east, north] = this.box;
    const step = Math.max(east - west, north - south) / 1000;
    let [y, x] = [(south + north) / 2, (west + east) / 2];
    for (let k = 0; k < 12; ++k) {
      const at = this.of([y, x]);
      const right = this.of([y, x + step]).map((v, i) => (v - at[i]) / step);
      const up = this.of([y + step, x]).map((v, i) => (v - at[i]) / step);
      const det = right[0] * up[1] - right[1] * up[0];
      const [dLon, dLat] = [lon - at[0], lat - at[1]];
      x += (dLon * up[1] - dLat * up[0]) / det;
      y += (right[0] * dLat - right[1] * dLon) / det;
    }
    const margin = 2000;
    return x > west - margin && x < east + margin && y > south - margin && y < north + margin ? [y, x] : null;
  }
}
