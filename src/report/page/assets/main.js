// SPDX-License-Identifier: Apache-2.0
// Puts the page to work: the tables first, which are the answer, then the map.

function start() {
  const data = JSON.parse(document.getElementById("data").textContent);
  const scale = new ExposureScale(data.exposure);
  const view = {};
  const chooseBuilding = (i, zoom) => {
    view.panel.show(i);
    view.map.choose(i, zoom);
  };
  showRanking(data, scale, (n) => {
    view.map.goTo(data.neighbourhoods[n].layer.getBounds());
    if (view.addresses) view.addresses.only(n);
  });
  if (data.structures)
    view.addresses = showAddresses(data, scale, (i) => {
      chooseBuilding(i, true);
      document.getElementById("map").scrollIntoView({ block: "start" });
      view.panel.panel.focus({ preventScroll: true });
    });
  showCurve(data);
  showUnits(data);
  showChanges(data);
  if (!data.structures && !data.neighbourhoods.some((row) => row.shape)) return; // nothing to draw
  const host = document.getElementById("map");
  view.map = new CommunityMap(host, data, scale, (i) => chooseBuilding(i, false));
  if (data.structures) view.panel = new BuildingPanel(host, data, scale);
}

start();
