/**
 * Which of several places a finger or an arrow key means.
 *
 * @typedef {{x: number, y: number}} Spot
 */

/**
 * The place nearest to a tap, if it is near enough for a finger.
 * @template {Spot} Place
 * @param {readonly Place[]} places @param {Spot} tap @param {number} within same unit as the places
 * @returns {Place | null}
 */
export function nearest(places, tap, within) {
  let best = null;
  let least = within;
  for (const place of places) {
    const away = Math.hypot(place.x - tap.x, place.y - tap.y);
    if (away <= least) {
      best = place;
      least = away;
    }
  }
  return best;
}

/**
 * The next place in a direction: near and straight ahead wins over near and aside.
 * @template {Spot} Place
 * @param {readonly Place[]} places @param {Place} from @param {Spot} heading unit vector, y down
 * @returns {Place | null} null where nothing lies that way
 */
export function nextTowards(places, from, heading) {
  let best = null;
  let least = Infinity;
  for (const place of places) {
    const ahead = (place.x - from.x) * heading.x + (place.y - from.y) * heading.y;
    const aside = Math.abs((place.x - from.x) * heading.y - (place.y - from.y) * heading.x);
    const cost = ahead + 2 * aside;
    if (place !== from && ahead > 0 && aside <= 2 * ahead && cost < least) {
      best = place;
      least = cost;
    }
  }
  return best;
}
