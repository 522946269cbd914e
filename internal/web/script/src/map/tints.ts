// The tints of heights: slate blue low, paper in the middle, ochre high. A pair that colour-blind readers can tell apart; the printed
// heights say the same without colour.

type Colour = [number, number, number];

const low: Colour = [128, 159, 188];
const middle: Colour = [250, 249, 246];
const high: Colour = [214, 166, 104];

/** The tint at a share of the way from the lowest to the highest, as red, green and blue. */
export function tint(share: number): Colour {
  const t = Math.max(0, Math.min(1, share));
  const [a, b, k] = t < 0.5 ? [low, middle, 2 * t] : [middle, high, 2 * t - 1];
  return [0, 1, 2].map((i) => Math.round(a[i]! + (b[i]! - a[i]!) * k)) as Colour;
}

export function css([r, g, b]: Colour): string {
  return `rgb(${r} ${g} ${b})`;
}

/** The inks on the paper of maps. */
export const ink = { stone: "#21272d", soft: "#565d64", hair: "#cbcbc7", bad: "#923218", unread: "#f1f0ec", hatch: "#bcbbb6", sheet: "#fcfbf8" };
