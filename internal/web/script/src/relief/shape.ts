// The surface of a chart as triangles. Pure. Lengths are metres of the stone, so that numbers stay near 1.

import type { Chart, Grid } from "../map/chart";
import { bounds } from "../map/chart";
import { tint } from "../map/tints";

export interface Shape {
  places: Float32Array; // x, y, height, for each node
  colours: Float32Array;
  triangles: Uint32Array;
}

/** One grid as a shape. Heights are µm in metres, to be scaled by how much they are exaggerated. A cell with an unread corner is
 * left open. */
export function shapeOf(c: Chart, g: Grid): Shape {
  const b = bounds(c);
  const [mx, my] = [(b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2];
  const middle = (c.low_um + c.high_um) / 2;
  const places = new Float32Array(g.nx * g.ny * 3);
  const colours = new Float32Array(g.nx * g.ny * 3);
  const span = c.high_um - c.low_um || 1;
  for (let j = 0; j < g.ny; j++) {
    for (let i = 0; i < g.nx; i++) {
      const k = j * g.nx + i;
      const z = g.z_um[k];
      places.set([(g.x0_mm + i * g.dx_mm - mx) / 1e3, (g.y0_mm + j * g.dy_mm - my) / 1e3, ((z ?? c.low_um) - middle) / 1e6], 3 * k);
      colours.set(tint(((z ?? c.low_um) - c.low_um) / span).map((v) => (v / 255) ** 2.2), 3 * k);
    }
  }
  const triangles: number[] = [];
  for (let j = 0; j + 1 < g.ny; j++) {
    for (let i = 0; i + 1 < g.nx; i++) {
      const [p, q, r, s] = [j * g.nx + i, j * g.nx + i + 1, (j + 1) * g.nx + i, (j + 1) * g.nx + i + 1];
      if ([p, q, r, s].some((k) => (g.z_um[k] ?? null) === null)) continue;
      triangles.push(p, q, s, p, s, r);
    }
  }
  return { places, colours, triangles: new Uint32Array(triangles) };
}

/** How many times heights may be exaggerated: round steps, as even to the eye as they can be. */
export const steps = [1, 10, 100, 1000].flatMap((p) => [1, 1.5, 2, 3, 5, 7].map((m) => m * p)).filter((t) => t <= 5000 && t !== 1.5);

/** The step at which heights are exaggerated at first: what is highest stands at a twelfth of the longer side, or less. */
export function atFirst(c: Chart): number {
  const b = bounds(c);
  const wish = (Math.max(b.x1 - b.x0, b.y1 - b.y0) * 1000) / 12 / (c.high_um - c.low_um || 1);
  return Math.max(0, steps.findLastIndex((t) => t <= wish));
}
