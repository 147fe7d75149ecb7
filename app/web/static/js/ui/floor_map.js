/** A floor map one can look closer at and move, by button, wheel, fingers and keys. */

import { nearest, nextTowards } from "../core/nearest.js";
import { depth, holding, middle, moved, parseBox, writeBox, zoomed } from "../core/view_box.js";

const STEP = 1.6;
const PAN = 0.3;
const FINGER_PX = 22;
const DRAG_PX = 6;
const PANS = { left: [-PAN, 0], right: [PAN, 0], up: [0, -PAN], down: [0, PAN] };
const HEADINGS = {
  ArrowLeft: { x: -1, y: 0 },
  ArrowRight: { x: 1, y: 0 },
  ArrowUp: { x: 0, y: -1 },
  ArrowDown: { x: 0, y: 1 },
};

/**
 * @param {HTMLElement} figure
 * @param {(link: SVGAElement) => void} open called with the pallet that was meant
 */
export function mountFloorMap(figure, open) {
  const drawing = /** @type {SVGSVGElement} */ (figure.querySelector(".drawing > svg"));
  const links = /** @type {SVGAElement[]} */ ([...drawing.querySelectorAll("a[href]")]);
  const whole = parseBox(drawing.getAttribute("viewBox") ?? "");
  let view = whole;

  function show(next) {
    view = next;
    drawing.setAttribute("viewBox", writeBox(view));
    const looking = depth(whole, view) > 1.001;
    figure.toggleAttribute("data-close", looking);
    for (const button of figure.querySelectorAll("[data-map]")) {
      const needless = !looking && !["closer"].includes(button.dataset.map);
      button.setAttribute("aria-disabled", String(needless));
    }
  }

  /** A place on the screen, in the units of the drawing. */
  function spotAt(clientX, clientY) {
    const spot = new DOMPoint(clientX, clientY).matrixTransform(drawing.getScreenCTM().inverse());
    return { x: spot.x, y: spot.y };
  }

  function placesOnScreen() {
    return links.map((link) => {
      const box = link.getBoundingClientRect();
      return { link, x: box.x + box.width / 2, y: box.y + box.height / 2 };
    });
  }

  function press(what) {
    if (what === "closer" || what === "farther") {
      show(zoomed(whole, view, what === "closer" ? STEP : 1 / STEP, middle(view)));
    } else if (what === "whole") {
      show(whole);
    } else {
      show(moved(whole, view, ...PANS[what]));
    }
  }

  figure.querySelector(".map-buttons").hidden = false;
  figure.querySelector(".with-script").hidden = false;
  figure.querySelector(".without-script").hidden = true;
  figure.addEventListener("click", (event) => {
    const button = event.target.closest("[data-map]");
    if (button) {
      press(button.dataset.map);
    }
  });

  figure.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) {
      return;
    }
    if (event.key === "+" || event.key === "=") {
      press("closer");
    } else if (event.key === "-") {
      press("farther");
    } else if (event.key === "0") {
      press("whole");
    } else if (event.key in HEADINGS && links.includes(event.target.closest("a"))) {
      const places = placesOnScreen();
      const from = places.find((place) => place.link === event.target.closest("a"));
      nextTowards(places, from, HEADINGS[event.key])?.link.focus();
    } else {
      return;
    }
    event.preventDefault();
  });

  drawing.addEventListener("focusin", (event) => {
    const link = event.target.closest("a");
    if (link && depth(whole, view) > 1.001) {
      const box = link.getBoundingClientRect();
      show(holding(whole, view, spotAt(box.x + box.width / 2, box.y + box.height / 2)));
    }
  });

  // Over a page that scrolls, the wheel belongs to the page until the reader has turned to the map.
  drawing.addEventListener(
    "wheel",
    (event) => {
      if (event.ctrlKey || figure.contains(document.activeElement)) {
        event.preventDefault();
        show(zoomed(whole, view, Math.exp(-event.deltaY / 400), spotAt(event.clientX, event.clientY)));
      }
    },
    { passive: false },
  );

  watchFingers(drawing, {
    drag(fromX, fromY, toX, toY) {
      if (depth(whole, view) > 1.001) {
        const from = spotAt(fromX, fromY);
        const to = spotAt(toX, toY);
        show(moved(whole, view, (from.x - to.x) / view.width, (from.y - to.y) / view.height));
      }
    },
    pinch(factor, x, y) {
      show(zoomed(whole, view, factor, spotAt(x, y)));
    },
  });

  drawing.addEventListener("click", (event) => {
    const exact = event.target.closest("a[href]");
    const meant = exact ?? nearest(placesOnScreen(), { x: event.clientX, y: event.clientY }, FINGER_PX)?.link;
    if (meant && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
      event.preventDefault();
      open(meant);
    }
  });

  show(whole);
}

/**
 * Tell one finger that moves from two that spread; a move is not a tap.
 * @param {SVGSVGElement} drawing
 * @param {{drag: (fromX: number, fromY: number, toX: number, toY: number) => void,
 *          pinch: (factor: number, x: number, y: number) => void}} tell
 */
function watchFingers(drawing, tell) {
  const fingers = new Map();
  let start = null;
  let movedFar = false;

  drawing.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, event);
    if (fingers.size === 1) {
      start = event;
      movedFar = false;
    }
  });
  drawing.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) {
      return;
    }
    if (fingers.size === 2) {
      const other = [...fingers.values()].find((finger) => finger.pointerId !== event.pointerId);
      const spread = (finger) => Math.hypot(finger.clientX - other.clientX, finger.clientY - other.clientY);
      movedFar = true;
      if (spread(before) > 0) {
        const x = (event.clientX + other.clientX) / 2;
        const y = (event.clientY + other.clientY) / 2;
        tell.pinch(spread(event) / spread(before), x, y);
      }
    } else {
      movedFar ||= Math.hypot(event.clientX - start.clientX, event.clientY - start.clientY) > DRAG_PX;
      if (movedFar) {
        // Taken only once it is a drag: a captured pointer would send its click to the drawing, not to the pallet.
        drawing.setPointerCapture(event.pointerId);
        tell.drag(before.clientX, before.clientY, event.clientX, event.clientY);
      }
    }
    fingers.set(event.pointerId, event);
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
    drawing.addEventListener(end, (event) => fingers.delete(event.pointerId));
  }
  drawing.addEventListener(
    "click",
    (event) => {
      if (movedFar) {
        event.preventDefault();
        event.stopPropagation();
        movedFar = false;
      }
    },
    { capture: true },
  );
  drawing.addEventListener("dragstart", (event) => event.preventDefault());
  // Two fingers on the drawing mean the drawing; without this the browser would scroll or enlarge the page instead.
  drawing.addEventListener(
    "touchmove",
    (event) => {
      if (event.touches.length > 1) {
        event.preventDefault();
      }
    },
    { passive: false },
  );
}
