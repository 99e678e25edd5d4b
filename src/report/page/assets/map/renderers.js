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

/// A building, of which a town has tens of thousands: each holds as little as it can. A click near its
/// dot counts.
const HomePolygon = L.Polygon.extend({
  options: { home: true, fillOpacity: 1, weight: 1, fillRule: "evenodd", bubblingMouseEvents: false },
  initialize(map, i) {
    this.owner = map;
    this.index = i;
    this.isMeasured = map.data.structures.exposure[i] !== null;
    L.Polygon.prototype.initialize.call(this, map.loopsOf(i), this.styleOf());
    if (!this.isMeasured) L.setOptions(this, { fill: false, dashArray: "3 2" });
    this.on("click", this.pick, this);
  },
  /// Corners are projected when they are drawn: most lie outside of what is seen, or in a dot. The
  /// plane's scale is the same in x and y, and its y runs north.
  _project() {
    const scale = this._map.options.crs.scale(this._map.getZoom());
    const origin = this._map.getPixelOrigin();
    const box = this._bounds;
    this._rawPxBounds ??= L.bounds([0, 0], [0, 0]);
    const { min, max } = this._rawPxBounds; // changed in place: nothing is allocated
    min.x = Math.round(box.getWest() * scale) - origin.x;
    max.x = Math.round(box.getEast() * scale) - origin.x;
    min.y = Math.round(-box.getNorth() * scale) - origin.y;
    max.y = Math.round(-box.getSouth() * scale) - origin.y;
    this._rings = null;
    this._updateBounds();
  },
  _updateBounds() {
    const around = this._clickTolerance();
    const { min, max } = this._rawPxBounds;
    this._pxBounds ??= L.bounds([0, 0], [0, 0]);
    [this._pxBounds.min.x, this._pxBounds.min.y] = [min.x - around, min.y - around];
    [this._pxBounds.max.x, this._pxBounds.max.y] = [max.x + around, max.y + around];
  },
  _clipPoints() {
    this._parts = [];
    if (!this._pxBounds.intersects(this._renderer._bounds) || dotOf(this)) return;
    if (!this._rings) this._projectLatlngs(this._latlngs, (this._rings = []), L.bounds([]));
    L.Polygon.prototype._clipPoints.call(this);
  },
  pick() {
    this.owner.act.building(this.index);
  },
  styleOf() {
    const { colours, scale, exposures } = this.owner;
    return { color: colours.building, weight: 1, halo: colours.halo,
      fillColor: this.isMeasured ? colours.exposure[scale.classOf(exposures[this.index])] : undefined };
  },
  _containsPoint(p, closed) {
    if (this._renderer.homesHidden) return false;
    const dot = dotOf(this);
    return dot ? dot.distanceTo(p) <= dotRadius + 2 : L.Polygon.prototype._containsPoint.call(this, p, closed);
  },
});

/// The buildings. On a canvas they stay where they are when they are switched off, and are not drawn:
/// to take tens of thousands out and in takes long.
const HomeLayer = L.LayerGroup.extend({
  onAdd(map) {
    if (this.hidden) this.redraw(map, false);
    else L.LayerGroup.prototype.onAdd.call(this, map);
  },
  onRemove(map) {
    if (map.options.renderer instanceof L.Canvas) this.redraw(map, true);
    else L.LayerGroup.prototype.onRemove.call(this, map);
  },
  redraw(map, hidden) {
    this.hidden = map.options.renderer.homesHidden = hidden;
    map.options.renderer._updatePaths();
  },
});

const MapCanvas = L.Canvas.extend({
  /// No zoom is animated, so that a new view follows every one: each shape is placed and clipped once.
  _onZoomEnd() {},
  _reset() {
    for (const layer of Object.values(this._layers)) layer._project();
    this._postponeUpdatePaths = false;
    this._update();
    this._updateTransform(this._center, this._zoom);
  },
  _updatePoly(layer, closed) {
    if (this.homesHidden && layer.options.home) return;
    if (this._drawing && !layer.options.home) this._drawDots(); // what lies above the buildings stays above
    const dot = this._drawing && dotOf(layer);
    if (!dot) return L.Canvas.prototype._updatePoly.call(this, layer, closed);
    const { color, weight, fillColor } = layer.options;
    const look = [color, weight, fillColor].join();
    if (this._dots.has(look)) this._dots.get(look).push(dot);
    else this._dots.set(look, Object.assign([dot], { layer }));
  },
  _draw() {
    this._dots = new Map(); // by their look
    L.Canvas.prototype._draw.call(this);
    this._drawDots();
  },
  /// Thousands of dots: those that look alike at once, without halos. Those of which the first lay
  /// lowest come first.
  _drawDots() {
    if (this._dots.size === 0) return;
    const ctx = this._ctx;
    ctx.save();
    if (this._redrawBounds) {
      const { min, max } = this._redrawBounds;
      ctx.beginPath();
      ctx.rect(min.x, min.y, max.x - min.x, max.y - min.y);
      ctx.clip();
    }
    for (const dots of this._dots.values()) {
      ctx.beginPath();
      for (const { x, y } of dots) {
        ctx.moveTo(x + dotRadius, y);
        ctx.arc(x, y, dotRadius, 0, 2 * Math.PI);
      }
      L.Canvas.prototype._fillStroke.call(this, ctx, dots.layer);
    }
    ctx.restore();
    this._dots.clear();
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
