// What the mill sends, as the charts and profiles that are drawn here. Pure.

import { isChart, type Chart, type Grid, type Spot } from "./chart";
import type { Profile } from "./edge";

/** A face as the mill has measured it, for a screen: heights over the middle of the zone, in cells between the edges, cell (i, j) being
 * number i·rows + j. */
interface MeasuredFace {
  piece: string;
  face: string;
  mark: string;
  state: string;
  support: string;
  edges_mm: [number, number, number, number];
  columns: number;
  rows: number;
  mid_um: (number | null)[];
  contacts: { x_mm: number; y_mm: number; z_mm: number; upper: boolean }[];
  lowest: { z_mm: number };
  highest: { z_mm: number };
  levels_mm: number[];
}

/** A profile as the mill has measured it. */
interface MeasuredProfile {
  from_mm: [number, number];
  to_mm: [number, number];
  length_mm: number;
  along_mm: number[];
  height_mm: (number | null)[];
  straightedge: { ends: [{ height_mm: number }, { height_mm: number }]; gap_mm: number; gap_at: { along_mm: number } } | null;
}

/** The chart of what was sent; null when it is none. */
export function chartOf(sent: unknown): Chart | null {
  const face = sent as Partial<MeasuredFace> | null;
  const chart = face && Array.isArray(face.mid_um) && Array.isArray(face.edges_mm) ? ofFace(face as MeasuredFace) : sent;
  return isChart(chart) ? chart : null;
}

function ofFace(m: MeasuredFace): Chart {
  const [x0, x1, y0, y1] = m.edges_mm;
  const [dx, dy] = [(x1 - x0) / m.columns, (y1 - y0) / m.rows];
  const z_um: (number | null)[] = [];
  for (let j = 0; j < m.rows; j++) for (let i = 0; i < m.columns; i++) z_um.push(m.mid_um[i * m.rows + j] ?? null);
  const grid: Grid = { x0_mm: x0 + dx / 2, y0_mm: y0 + dy / 2, dx_mm: dx, dy_mm: dy, nx: m.columns, ny: m.rows, z_um };
  const spot = (p: { x_mm: number; y_mm: number; z_mm: number }): Spot => ({ x_mm: p.x_mm, y_mm: p.y_mm, z_um: p.z_mm * 1000 });
  return {
    title: m.piece, state: [m.state, m.support].filter(Boolean).join(", "), invented: m.mark !== "",
    low_um: m.lowest.z_mm * 1000, high_um: m.highest.z_mm * 1000, levels_um: m.levels_mm.map((l) => l * 1000),
    grids: [grid], outline_mm: [[x0, y0], [x1, y0], [x1, y1], [x0, y1]],
    contacts: m.contacts.map((c) => ({ ...spot(c), side: c.upper ? "above" : "below" })),
  };
}

/** The profile of what was sent; null when it is none. */
export function profileFrom(sent: unknown): Profile | null {
  const p = sent as (Partial<MeasuredProfile> & Partial<Profile>) | null;
  if (p && Array.isArray(p.s_mm) && Array.isArray(p.z_um) && Array.isArray(p.edge_um)) return p as Profile;
  if (!p || !Array.isArray(p.along_mm) || !Array.isArray(p.height_mm)) return null;
  const m = p as MeasuredProfile;
  const edge = m.straightedge;
  return {
    from_mm: m.from_mm, to_mm: m.to_mm, s_mm: m.along_mm, z_um: m.height_mm.map((h) => (h === null ? null : h * 1000)),
    edge_um: m.along_mm.map((s) => (edge && m.length_mm > 0 ? 1000 * (edge.ends[0].height_mm + ((edge.ends[1].height_mm - edge.ends[0].height_mm) * s) / m.length_mm) : null)),
    largest_gap_um: (edge?.gap_mm ?? 0) * 1000, largest_gap_at_mm: edge?.gap_at.along_mm ?? 0,
  };
}
