// Contour areas and lines of a grid, in mm of the stone. Pure.

import { contours } from "d3-contour";
import { heightAt, type Grid } from "./chart";

export type Ring = [number, number][];

/** Everything at a level or above: rings with holes. */
export interface Area {
  level: number;
  polygons: Ring[][];
}

/** A contour line. A closed one ends where it began. */
export interface Line {
  level: number;
  points: Ring;
}

/** The areas of a grid at and above each level, lowest first; the first is all that was read. */
export function areas(g: Grid, levels: readonly number[]): Area[] {
  const values = g.z_um.map((z) => z ?? NaN);
  const make = contours().size([g.nx, g.ny]);
  // A place in the maker's frame: node (i, j) stands at (i + 0.5, j + 0.5), and what was read reaches half a cell beyond.
  const place = ([u, v]: number[]): [number, number] => [g.x0_mm + (u! - 0.5) * g.dx_mm, g.y0_mm + (v! - 0.5) * g.dy_mm];
  return [-Number.MAX_VALUE, ...levels].map((level) => ({
    level,
    polygons: make.contour(values, level).coordinates.map((polygon) => polygon.map((ring) => ring.map(place))),
  }));
}

/** The lines of an area's level: its borders, without those stretches where the stone or the reading ends. There the surface is not
 * as high as the level. */
export function linesOf(g: Grid, a: Area): Line[] {
  const lines: Line[] = [];
  const near = 1e-6 * (1 + Math.abs(a.level));
  const level = ([x, y]: [number, number]): boolean => Math.abs(heightAt(g, x, y) - a.level) <= near;
  for (const ring of a.polygons.flat()) {
    const runs: Ring[] = [];
    let run: Ring = [];
    for (let i = 1; i < ring.length; i++) {
      const [p, q] = [ring[i - 1]!, ring[i]!];
      if (level(p) && level(q)) {
        if (run.length === 0) run.push(p);
        run.push(q);
      } else if (run.length > 0) {
        runs.push(run);
        run = [];
      }
    }
    if (run.length > 0) {
      const first = runs[0];
      if (first && same(first[0]!, ring[0]!)) runs[0] = [...run, ...first.slice(1)]; // the ring was cut within a line
      else runs.push(run);
    }
    lines.push(...runs.map((points) => ({ level: a.level, points })));
  }
  return lines;
}

function same(a: [number, number], b: [number, number]): boolean {
  return a[0] === b[0] && a[1] === b[1];
}
