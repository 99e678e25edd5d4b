// SPDX-License-Identifier: Apache-2.0
// How shapes get onto the map. A building (`options.home`) has a halo around its outline, which
// keeps it apart from what is below; where it would be smaller than a dot it is drawn as one, so that
// the first view of a large town shows where.

const dotRadius = 3;
const smallestDrawn = 2 * dotRadius; // pixels across

/// Where the dot of a layer lies; null where its shape is large enough to be seen.
function dotOf(layer) {
  const box = layer._rawPxBounds;
  if (!layer.options.home || !box || !box.min) return null;
  const size = box.getSize();
  return Math.max(size.x, size.y) < smallestDrawn ? box.getCenter() : null;
}

/// A polygon of a building: a click near its dot counts.
const HomePolygon = L.Polygon.extend({
  _containsPoint(p, closed) {
    const dot = dotOf(this);
    return dot ? dot.distanceTo(p) <= dotRadius + 2 : L.Polygon.prototype._containsPoint.call(this, p, closed);
  },
});

const MapCanvas = L.Canvas.extend({
  _updatePoly(layer, closed) {
    const dot = this._drawing && dotOf(layer);
    if (!dot) return L.Canvas.prototype._updatePoly.call(this, layer, closed);
    this._ctx.beginPath();
    this._ctx.arc(dot.x, dot.y, dotRadius, 0, 2 * Math.PI);
    L.Canvas.prototype._fillStroke.call(this, this._ctx, layer); // a halo for each of many dots takes long
  },
  _fillStroke(ctx, layer) {
    const { halo, weight } = layer.options;
    if (halo) {
      ctx.setLineDash([]);
      ctx.globalAlpha = 1;
      ctx.lineWidth = weight + 3;
      ctx.strokeStyle = halo;
      ctx.stroke();
    }
    L.Canvas.prototype._fillStroke.call(this, ctx, layer);
  },
});

/// Halos have a group of their own below all shapes.
const MapSvg = L.SVG.extend({
  _initContainer() {
    L.SVG.prototype._initContainer.call(this);
    this._halos = L.SVG.create("g");
    this._rootGroup.before(this._halos);
  },
  _initPath(layer) {
    L.SVG.prototype._initPath.call(this, layer);
    if (layer.options.home) {
      layer._halo = L.SVG.create("path");
      layer._halo.setAttribute("class", "halo");
    }
  },
  _addPath(layer) {
    L.SVG.prototype._addPath.call(this, layer);
    if (layer._halo) this._halos.append(layer._halo);
  },
  _removePath(layer) {
    L.SVG.prototype._removePath.call(this, layer);
    if (layer._halo) layer._halo.remove();
  },
  _updatePoly(layer, closed) {
    const dot = dotOf(layer);
    if (!dot) return L.SVG.prototype._updatePoly.call(this, layer, closed);
    const r = dotRadius;
    this._setPath(layer, `M${dot.x - r},${dot.y}a${r},${r} 0 1,0 ${2 * r},0a${r},${r} 0 1,0 ${-2 * r},0`);
  },
  _setPath(layer, path) {
    L.SVG.prototype._setPath.call(this, layer, path);
    if (layer._halo) layer._halo.setAttribute("d", path);
  },
});
