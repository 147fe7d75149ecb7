/** Entry of the site page: the page works without this; here the map learns to zoom and a tap fills the panel. */

import { mountFloorMap } from "./floor_map.js";
import { mountPalletPanel } from "./pallet_panel.js";

for (const floor of document.querySelectorAll(".floor")) {
  const map = floor.querySelector("[data-floor-map]");
  const panel = floor.querySelector("[data-panel]");
  if (map?.querySelector("svg") && panel) {
    const opened = mountPalletPanel(panel, map);
    mountFloorMap(map, opened);
  }
}
