/**
 * The part of a drawing that is in view, as numbers. Nothing here knows the page.
 *
 * @typedef {{x: number, y: number, width: number, height: number}} Box  in the units of the drawing
 * @typedef {{x: number, y: number}} Spot
 */

/** How far in one can look; a drum of 0.6 m on a floor of 100 m is then about a thumb wide on a phone. */
export const DEEPEST = 24;

/** @param {string} text the viewBox attribute of a drawing @returns {Box} */
export function parseBox(text) {
  const numbers = text.trim().split(/[\s,]+/).map(Number);
  if (numbers.length !== 4 || numbers.some((number) => !Number.isFinite(number)) || numbers[2] <= 0 || numbers[3] <= 0) {
    throw new RangeError(`not a view box: ${text}`);
  }
  const [x, y, width, height] = numbers;
  return { x, y, width, height };
}

/** @param {Box} box @returns {string} */
export function writeBox(box) {
  return [box.x, box.y, box.width, box.height].map((number) => Number(number.toFixed(4))).join(" ");
}

/** @param {Box} whole @param {Box} view @returns {number} 1 where all is in view */
export function depth(whole, view) {
  return whole.width / view.width;
}

/** Bring a view back inside the drawing, at the proportions of the drawing. @param {Box} whole @param {Box} view @returns {Box} */
export function inside(whole, view) {
  const width = Math.min(Math.max(view.width, whole.width / DEEPEST), whole.width);
  const height = (width * whole.height) / whole.width;
  return {
    x: Math.min(Math.max(view.x, whole.x), whole.x + whole.width - width),
    y: Math.min(Math.max(view.y, whole.y), whole.y + whole.height - height),
    width,
    height,
  };
}

/**
 * Look closer (factor over 1) or from farther off, with one spot of the drawing staying where it is.
 * @param {Box} whole @param {Box} view @param {number} factor @param {Spot} at @returns {Box}
 */
export function zoomed(whole, view, factor, at) {
  const width = Math.min(Math.max(view.width / factor, whole.width / DEEPEST), whole.width);
  const kept = width / view.width;
  return inside(whole, {
    x: at.x - (at.x - view.x) * kept,
    y: at.y - (at.y - view.y) * kept,
    width,
    height: view.height * kept,
  });
}

/** Move the view by a share of itself. @param {Box} whole @param {Box} view @param {number} right @param {number} down @returns {Box} */
export function moved(whole, view, right, down) {
  return inside(whole, { ...view, x: view.x + right * view.width, y: view.y + down * view.height });
}

/** Centre of the view. @param {Box} view @returns {Spot} */
export function middle(view) {
  return { x: view.x + view.width / 2, y: view.y + view.height / 2 };
}

/** The same view, moved only as far as it takes to hold the spot with a margin. @param {Box} whole @param {Box} view @param {Spot} spot @returns {Box} */
export function holding(whole, view, spot) {
  const margin = { x: view.width / 6, y: view.height / 6 };
  const x = Math.min(Math.max(view.x, spot.x + margin.x - view.width), spot.x - margin.x);
  const y = Math.min(Math.max(view.y, spot.y + margin.y - view.height), spot.y - margin.y);
  return inside(whole, { ...view, x, y });
}
