// What the mill sends of a face or a bed, and what can be read from it. Heights are µm, places mm. Pure.

/** Heights on an even grid, x first, then y; null where nothing was read. */
export interface Grid {
  name?: string;
  x0_mm: number;
  y0_mm: number;
  dx_mm: number;
  dy_mm: number;
  nx: number;
  ny: number;
  z_um: (number | null)[];
  least_um?: (number | null)[]; // the extremes around each place, where not every reading is listed
  most_um?: (number | null)[];
}

export interface Spot {
  x_mm: number;
  y_mm: number;
  z_um: number;
}

export interface Chart {
  title?: string;
  frame?: string;
  state?: string;
  datum?: string;
  invented?: boolean;
  low_um: number;
  high_um: number;
  levels_um?: number[];
  grids: Grid[];
  outline_mm?: [number, number][];
  contacts?: (Spot & { side?: string })[];
  readings?: Spot[];
  edges?: Partial<Record<"x-" | "x+" | "y-" | "y+", string>>;
}

/** A place on the stone, mm. */
export interface Place {
  x: number;
  y: number;
}

/** The height at a place, between the four nodes around it; NaN where one of them was not read or there is no stone. */
export function heightAt(g: Grid, x: number, y: number): number {
  const u = (x - g.x0_mm) / g.dx_mm;
  const v = (y - g.y0_mm) / g.dy_mm;
  const slack = 1e-6; // a place on the edge is on the stone
  if (!(u >= -slack && v >= -slack && u <= g.nx - 1 + slack && v <= g.ny - 1 + slack)) return NaN;
  const i = Math.max(0, Math.min(g.nx - 2, Math.floor(u)));
  const j = Math.max(0, Math.min(g.ny - 2, Math.floor(v)));
  const at = (a: number, b: number): number => g.z_um[(j + b) * g.nx + i + a] ?? NaN;
  const s = u - i;
  const t = v - j;
  const mix = (a: number, b: number, k: number): number => (k < slack ? a : k > 1 - slack ? b : a * (1 - k) + b * k); // an unread node beside an exact hit does not matter
  return mix(mix(at(0, 0), at(1, 0), s), mix(at(0, 1), at(1, 1), s), t);
}

/** The height at a place of a bed or a piece. */
export function readAt(c: Chart, x: number, y: number): number {
  for (const g of c.grids) {
    const z = heightAt(g, x, y);
    if (!Number.isNaN(z)) return z;
  }
  return NaN;
}

/** The extremes of the readings around the node nearest to a place; null where the map does not tell them. */
export function extremesAt(c: Chart, x: number, y: number): [number, number] | null {
  for (const g of c.grids) {
    const i = Math.round((x - g.x0_mm) / g.dx_mm);
    const j = Math.round((y - g.y0_mm) / g.dy_mm);
    if (!(i >= 0 && j >= 0 && i < g.nx && j < g.ny)) continue;
    const [least, most] = [g.least_um?.[j * g.nx + i], g.most_um?.[j * g.nx + i]];
    if (least !== null && least !== undefined && most !== null && most !== undefined) return [least, most];
  }
  return null;
}

/** The rectangle around everything. */
export function bounds(c: Chart): { x0: number; y0: number; x1: number; y1: number } {
  const xs: number[] = [];
  const ys: number[] = [];
  for (const g of c.grids) {
    xs.push(g.x0_mm, g.x0_mm + (g.nx - 1) * g.dx_mm);
    ys.push(g.y0_mm, g.y0_mm + (g.ny - 1) * g.dy_mm);
  }
  for (const [x, y] of c.outline_mm ?? []) {
    xs.push(x);
    ys.push(y);
  }
  return { x0: Math.min(...xs), y0: Math.min(...ys), x1: Math.max(...xs), y1: Math.max(...ys) };
}

/** Multiples of a round step (1, 2 or 5 times a power of ten) strictly between low and high, at most so many. */
export function levels(low: number, high: number, most: number): number[] {
  if (!(high > low) || most < 1) return [];
  for (let power = Math.floor(Math.log10((high - low) / most)) - 1; ; power++) {
    for (const m of [1, 2, 5]) {
      const step = m * 10 ** power;
      const first = Math.floor(low / step) + 1;
      const last = Math.ceil(high / step) - 1;
      if (last - first + 1 > most) continue;
      return Array.from({ length: Math.max(0, last - first + 1) }, (_, k) => (power < 0 ? ((first + k) * m) / 10 ** -power : (first + k) * m * 10 ** power));
    }
  }
}

/** Whether what came is a chart that can be drawn. */
export function isChart(c: unknown): c is Chart {
  const k = c as Partial<Chart> | null;
  return !!k && Array.isArray(k.grids) && k.grids.length > 0 && Number.isFinite(k.low_um) && Number.isFinite(k.high_um) &&
    k.grids.every((g) => g.nx > 1 && g.ny > 1 && g.dx_mm > 0 && g.dy_mm > 0 && g.z_um?.length === g.nx * g.ny);
}
