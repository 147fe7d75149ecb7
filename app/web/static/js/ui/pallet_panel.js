/** The panel beside a map: the storage zones at first, then whatever pallet was tapped. */

/**
 * @param {HTMLElement} panel
 * @param {HTMLElement} map
 * @returns {(link: SVGAElement) => void} show the pallet a link of the map leads to
 */
export function mountPalletPanel(panel, map) {
  const start = panel.querySelector("[data-panel-start]");
  const pallet = panel.querySelector("[data-panel-pallet]");
  const content = panel.querySelector("[data-panel-content]");
  let shown = null;

  function mark(link) {
    shown?.removeAttribute("aria-current");
    link?.setAttribute("aria-current", "true");
    shown = link;
  }

  function open(link, { focus = true } = {}) {
    const entry = document.getElementById(idOf(link));
    if (!entry) {
      return;
    }
    content.replaceChildren(copyOf(entry));
    start.hidden = true;
    pallet.hidden = false;
    mark(link);
    history.replaceState(null, "", `#${encodeURIComponent(idOf(link))}`);
    panel.scrollTop = 0;
    if (focus) {
      panel.focus({ preventScroll: true });
      panel.scrollIntoView({ block: "nearest" });
    }
  }

  panel.querySelector("[data-panel-close]").addEventListener("click", () => {
    const from = shown;
    mark(null);
    pallet.hidden = true;
    start.hidden = false;
    history.replaceState(null, "", location.pathname + location.search);
    from?.focus({ preventScroll: true });
  });

  for (const link of map.querySelectorAll(".drawing a[href]")) {
    if (location.hash && idOf(link) === idOf({ getAttribute: () => location.hash })) {
      open(link, { focus: false });
    }
  }
  return open;
}

function idOf(link) {
  return decodeURIComponent(link.getAttribute("href").slice(1));
}

/** A copy of an entry without its ids, which must stay with the one in the list. */
function copyOf(entry) {
  const copy = /** @type {HTMLElement} */ (entry.cloneNode(true));
  for (const part of [copy, ...copy.querySelectorAll("[id], [aria-labelledby]")]) {
    part.removeAttribute("id");
    part.removeAttribute("aria-labelledby");
  }
  copy.classList.remove("sheet");
  // In the list an entry is folded so that the list stays short; here it is the one the reader asked for.
  copy.querySelector(".pallet-more").open = true;
  return copy;
}
