// SPDX-License-Identifier: Apache-2.0
// Drawing on the map: a click is a corner, a double click or Enter closes the area. By keyboard the
// arrows move the map, and Space sets a corner at the cross in its middle.

class DrawTool {
  /// `onArea(loop)` gets the corners, [y, x]; `say(words)` tells what to do next.
  constructor(map, onArea, say) {
    Object.assign(this, { map, onArea, say });
    this.corners = [];
    this.line = L.polygon([], { interactive: false, weight: 3, dashArray: "6 5", fillOpacity: 0.15 });
    this.map.map.on("click", ({ latlng }) => this.add([latlng.lat, latlng.lng]));
    this.map.map.on("dblclick", () => this.close());
    this.map.area.addEventListener("keydown", (event) => this.key(event), true);
  }

  begin() {
    this.map.isDrawing = true;
    this.map.area.classList.add("drawing");
    this.map.map.doubleClickZoom.disable();
    this.corners = [];
    this.line.setStyle({ color: this.map.colours.drawn, fillColor: this.map.colours.drawn });
    this.line.addTo(this.map.map);
    this.update();
    this.say("Click the corners of the area; double-click to close it. By keyboard: arrows move the map, Space sets a " +
      "corner at the cross, Backspace takes one back, Enter closes, Escape stops.");
    this.map.area.focus({ preventScroll: true });
  }

  end() {
    this.map.isDrawing = false;
    this.map.area.classList.remove("drawing");
    this.map.map.doubleClickZoom.enable();
    this.line.remove();
    this.corners = [];
  }

  add(at) {
    if (!this.map.isDrawing) return;
    const last = this.corners[this.corners.length - 1];
    if (last && last[0] === at[0] && last[1] === at[1]) return; // the second click of a double one
    this.corners.push(at);
    this.update();
  }

  update() {
    this.line.setLatLngs(this.corners);
  }

  close() {
    if (!this.map.isDrawing) return;
    if (this.corners.length < 3) {
      this.say(`An area needs three corners; this one has ${this.corners.length}.`);
      return;
    }
    const { corners } = this;
    this.end();
    this.onArea(corners);
  }

  key(event) {
    if (!this.map.isDrawing) return;
    const act = { " ": () => this.add(this.map.centre()), Enter: () => this.close(),
      Backspace: () => { this.corners.pop(); this.update(); },
      Escape: () => { this.end(); this.say("Drawing stopped."); } }[event.key];
    if (!act) return;
    event.preventDefault();
    event.stopPropagation();
    act();
  }
}
