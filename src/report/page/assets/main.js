// SPDX-License-Identifier: Apache-2.0
// Puts the page to work: the tables first, which are the answer, then the map.

function dataOf(id) {
  return JSON.parse(document.getElementById(id).textContent);
}

/// The data with what stands below the script, which the browser reads while the page works already.
function dataInFull(data) {
  return (data.full ??= new Promise((done) => {
    const read = () => done(Object.assign(data, dataOf("data-below")));
    if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", read);
    else read();
  }));
}

class Page {
  constructor(data) {
    this.data = data;
    this.scale = new ExposureScale(data.exposure);
    this.links = new Links((wanted) => this.show(wanted));
    const many = data.neighbourhoods.length > 1;
    if (many) showRanking(data, this.scale, (n) => this.links.go("neighbourhood", data.neighbourhoods[n].name));
    if (data.structures)
      this.list = new AddressList(data, this.scale, (i, row) => this.pick(i, row, true));
    showCurve(data);
    showChanges(data);
    showHistory(data);
    if (data.structures || data.neighbourhoods.some((row) => row.shape)) this.addMap(many);
    this.links.follow();
  }

  addMap(many) {
    const { data, scale } = this;
    const host = document.getElementById("map");
    this.map = new CommunityMap(host, data, scale, { building: (i) => this.pick(i), unit: (u) => this.goToUnit(u) });
    if (!data.structures) return;
    const ground = new Ground(data);
    dataInFull(data).then(() => whenIdle(() => ground.load("conifer"))); // before the first home is picked
    this.panel = new BuildingPanel(document.getElementById("panel"), data, scale, this.map, ground, () => this.backToList());
    this.areas = new DrawnAreas(document.getElementById("areas"), data, this.map, ground);
    const nameOf = (i) => this.panel.nameOf(i);
    if (!many) showPlaces(data, scale, this.map, nameOf);
    if (!data.units) return;
    showUnits(data, this.map, nameOf, (u) => this.goToUnit(u));
    dataInFull(data).then(() => {
      this.slider = new BudgetSlider(data, scale, this.map);
      whenIdle(() => this.map.units); // before the first patch is shown
    });
  }

  /// Opens the link of a building: by the address that was clicked, or its first.
  pick(i, row, fromList = false) {
    this.fromList = fromList;
    const { text } = this.data.addresses;
    const address = row === undefined ? (this.panel.addresses.get(i) || [""])[0] : text[row];
    const unique = address !== "" && text.indexOf(address) === text.lastIndexOf(address);
    this.links.go(unique ? "address" : "structure", unique ? address : this.data.structures.id[i]);
  }

  /// What a link names: an address, a structure, a neighbourhood, or nothing.
  show(wanted) {
    const [address, structure, place] = ["address", "structure", "neighbourhood"].map((name) => wanted.get(name));
    this.note("");
    if (address !== null || structure !== null) this.showBuilding(address, structure);
    else if (this.panel) {
      this.panel.clear();
      this.map.unmark();
    }
    if (place === null) return;
    const n = this.data.neighbourhoods.findIndex((row) => row.name === place);
    if (n < 0) this.note(`There is no neighbourhood “${place}” here.`);
    if (n < 0) return;
    if (this.data.neighbourhoods[n].layer) this.map.goTo(this.data.neighbourhoods[n].layer.getBounds());
    if (this.list) this.list.only(n);
  }

  showBuilding(address, structure) {
    if (!this.list) return;
    const row = this.list.find(address, structure);
    const i = row < 0 ? this.data.structures.id.indexOf(structure) : this.data.addresses.structure[row];
    if (i < 0) {
      this.note(`There is no ${structure === null ? "address" : "structure"} “${address ?? structure}” here. Search the list below.`);
      return;
    }
    const fresh = this.panel.shown !== i;
    this.panel.show(i);
    this.map.choose(i, fresh && (this.fromList || !this.map.map.getBounds().intersects(this.map.buildings[i].getBounds()) || this.map.map.getZoom() < -0.5));
    document.getElementById("map").scrollIntoView({ block: "start" });
    this.panel.panel.focus({ preventScroll: true });
  }

  note(words) {
    const host = document.getElementById("link-note");
    if (!host) return;
    host.textContent = words;
    host.hidden = words === "";
  }

  /// To the row that was clicked, where it is still in the table.
  backToList() {
    const i = this.panel.shown;
    this.links.leave();
    const name = i === null ? "" : this.panel.nameOf(i);
    const button = [...document.querySelectorAll("#addresses tbody button.name")].find((b) => b.textContent === name);
    const target = button || document.getElementById("search");
    target.scrollIntoView({ block: "center" });
    target.focus({ preventScroll: true });
  }

  goToUnit(u) {
    this.map.show("Patches to clear");
    if (this.slider) this.slider.include(u);
    this.map.goTo(this.map.units[u].getBounds().pad(1.5), 2.5);
    document.getElementById("map").scrollIntoView({ block: "start" });
  }
}

new Page(dataOf("data"));
performance.mark("usable"); // for those who measure
