// The typed list of a photo's known points.

import type { Known } from "./photo";

/** What is known of a point so far. */
export interface Point {
  name: string;
  u?: number;
  v?: number;
  x?: number;
  y?: number;
}

export const names = ["A", "B", "C", "D", "E"] as const;

/** Reads the list; what is not there stays open. */
export function readPoints(text: string): Point[] {
  const list: Point[] = names.map((name) => ({ name }));
  const rows = text.split("\n").map((l) => l.trim()).filter((l) => l !== "" && !l.startsWith("#"));
  const columns = (rows.shift() ?? "").split(",").map((c) => c.trim().toLowerCase());
  for (const row of rows) {
    const cells = row.split(",").map((c) => c.trim());
    const cell = (name: string): string => cells[columns.indexOf(name)] ?? "";
    const point = list.find((p) => p.name === cell("point"));
    if (!point) continue;
    for (const key of ["u", "v", "x", "y"] as const) {
      const number = Number(cell(key));
      if (cell(key) !== "" && Number.isFinite(number)) point[key] = number;
    }
  }
  return list;
}

export const isKnown = (p: Point): p is Known => p.u !== undefined && p.v !== undefined && p.x !== undefined && p.y !== undefined;

/** Writes what is known as a whole; empty while that is nothing. */
export function writePoints(list: readonly Point[]): string {
  const rows = list.filter(isKnown).map((p) => [p.name, Math.round(p.u * 10) / 10, Math.round(p.v * 10) / 10, p.x, p.y].join(","));
  return rows.length > 0 ? ["point,u,v,x,y", ...rows].join("\n") + "\n" : "";
}
