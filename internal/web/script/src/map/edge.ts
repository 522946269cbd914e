// A straightedge laid on a line of the stone. Pure.

import { readAt, type Chart, type Place } from "./chart";

/** Surface and straightedge along a line. */
export interface Profile {
  from_mm: [number, number];
  to_mm: [number, number];
  s_mm: number[];
  z_um: (number | null)[];
  edge_um: (number | null)[];
  largest_gap_um: number;
  largest_gap_at_mm: number;
}

/** How a straight edge over the whole line rests: on the two points of the upper hull between which its middle lies. Height at
 * the ends of the line; null when nothing was read. */
export function rests(s: readonly number[], z: readonly (number | null)[], length: number): [number, number] | null {
  const hull: [number, number][] = [];
  for (const [i, at] of s.entries()) {
    const h = z[i];
    if (h === null || h === undefined || Number.isNaN(h)) continue;
    while (hull.length >= 2) {
      const [a, b] = [hull[hull.length - 2]!, hull[hull.length - 1]!];
      if ((b[0] - a[0]) * (h - a[1]) - (b[1] - a[1]) * (at - a[0]) < 0) break; // b stands above the line from a
      hull.pop();
    }
    hull.push([at, h]);
  }
  if (hull.length === 0) return null;
  if (hull.length === 1) return [hull[0]![1], hull[0]![1]];
  const behind = hull.findIndex(([at]) => at >= length / 2);
  const k = behind === -1 ? hull.length - 1 : Math.max(1, behind);
  const [a, b] = [hull[k - 1]!, hull[k]!];
  const slope = (b[1] - a[1]) / (b[0] - a[0]);
  return [a[1] - slope * a[0], a[1] + slope * (length - a[0])];
}

/** The profile along a line from what the map itself knows. */
export function profileOf(c: Chart, from: Place, to: Place, n: number): Profile {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const s = Array.from({ length: n }, (_, i) => (length * i) / (n - 1));
  const z = s.map((_, i) => {
    const t = i / (n - 1);
    const h = readAt(c, from.x + (to.x - from.x) * t, from.y + (to.y - from.y) * t);
    return Number.isNaN(h) ? null : h;
  });
  const edge = rests(s, z, length);
  let [most, where] = [0, 0];
  const edges = s.map((at, i) => {
    if (!edge || length === 0) return null;
    const e = edge[0] + ((edge[1] - edge[0]) * at) / length;
    const gap = e - (z[i] ?? NaN);
    if (gap > most) [most, where] = [gap, at];
    return e;
  });
  return { from_mm: [from.x, from.y], to_mm: [to.x, to.y], s_mm: s, z_um: z, edge_um: edges, largest_gap_um: most, largest_gap_at_mm: where };
}

/** Whether what came is a profile that can be drawn. */
export function isProfile(p: unknown): p is Profile {
  const k = p as Partial<Profile> | null;
  return !!k && Array.isArray(k.s_mm) && k.s_mm.length > 1 && k.z_um?.length === k.s_mm.length && k.edge_um?.length === k.s_mm.length;
}
