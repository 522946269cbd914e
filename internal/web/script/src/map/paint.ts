// Paints a chart: tints between the levels, lines with their heights, the outline, and the points that carry the zone.

import { numbers } from "../base/page";
import { levels as chosen, type Chart, type Grid } from "./chart";
import { Frame } from "./frame";
import { Placer, Ruler } from "./labels";
import { areas, linesOf, type Line, type Ring } from "./lines";
import { css, ink, tint } from "./tints";

/** What is computed once for a chart. */
export interface Ready {
  levels: number[]; // µm
  grids: { grid: Grid; areas: ReturnType<typeof areas>; lines: Line[] }[];
}

const mostLevels = 12;

/** Computes areas and lines. Levels are round in the reader's unit. */
export function ready(c: Chart): Ready {
  const levels = (numbers.units === "mm" ? c.levels_um : undefined) ?? chosen(numbers.height(c.low_um), numbers.height(c.high_um), mostLevels).map((h) => numbers.um(h));
  return {
    levels,
    grids: c.grids.map((grid) => {
      const a = areas(grid, levels);
      return { grid, areas: a, lines: a.slice(1).flatMap((area) => linesOf(grid, area)) };
    }),
  };
}

/** A height as it is written into its line. */
function heightWord(um: number, step: number): string {
  const h = numbers.height(um);
  const decimals = Math.max(0, Math.min(2, -Math.floor(Math.log10(numbers.height(step) || 1) + 1e-9)));
  return numbers.plain(h, decimals);
}

/** Paints everything that does not move. */
export function paint(pen: CanvasRenderingContext2D, c: Chart, r: Ready, f: Frame): void {
  pen.clearRect(0, 0, f.width, f.height);
  pen.lineJoin = "round";
  unread(pen, c, f);
  for (const g of r.grids) {
    g.areas.forEach((a, k) => {
      pen.beginPath();
      for (const ring of a.polygons.flat()) trace(pen, ring, f, true);
      pen.fillStyle = css(tint(r.levels.length === 0 ? 0.5 : k / r.levels.length));
      pen.fill("evenodd");
    });
  }
  outline(pen, c, f);
  const step = r.levels.length > 1 ? r.levels[1]! - r.levels[0]! : (r.levels[0] ?? 1);
  pen.font = "600 12px system-ui, sans-serif";
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  for (const g of r.grids) {
    const placer = new Placer(boxOf(g.grid, f));
    for (const k of c.contacts ?? []) placer.block(f.x(k.x_mm), f.y(k.y_mm), 12);
    const lines = g.lines.map((l) => ({ level: l.level, points: l.points.map(([x, y]): [number, number] => [f.x(x), f.y(y)]) }));
    for (const l of lines.sort((a, b) => b.points.length - a.points.length)) line(pen, l.points, heightWord(l.level, step), placer);
  }
  for (const p of c.readings ?? []) dot(pen, f.x(p.x_mm), f.y(p.y_mm));
  for (const k of c.contacts ?? []) contact(pen, f.x(k.x_mm), f.y(k.y_mm), k.side !== "below");
  edges(pen, c, f);
}

function trace(pen: CanvasRenderingContext2D, ring: Ring, f: Frame, close: boolean): void {
  ring.forEach(([x, y], i) => (i === 0 ? pen.moveTo(f.x(x), f.y(y)) : pen.lineTo(f.x(x), f.y(y))));
  if (close) pen.closePath();
}

/** The ground on which the read areas lie: hatched, as on paper, where nothing was read. */
function unread(pen: CanvasRenderingContext2D, c: Chart, f: Frame): void {
  pen.save();
  edge(pen, c, f);
  pen.fillStyle = ink.unread;
  pen.fill();
  pen.clip();
  pen.strokeStyle = ink.hatch;
  pen.lineWidth = 1;
  pen.beginPath();
  for (let x = -f.height; x < f.width; x += 7) {
    pen.moveTo(x, f.height);
    pen.lineTo(x + f.height, 0);
  }
  pen.stroke();
  pen.restore();
}

function outline(pen: CanvasRenderingContext2D, c: Chart, f: Frame): void {
  pen.strokeStyle = ink.stone;
  pen.lineWidth = 1.5;
  edge(pen, c, f);
  pen.stroke();
}

/** The edge of the stone as a path. */
function edge(pen: CanvasRenderingContext2D, c: Chart, f: Frame): void {
  pen.beginPath();
  if (c.outline_mm) trace(pen, c.outline_mm, f, true);
  else
    for (const g of c.grids) {
      const b = boxOf(g, f);
      pen.rect(b.x0, b.y0, b.x1 - b.x0, b.y1 - b.y0);
    }
}

/** What a grid covers on the screen. */
function boxOf(g: Grid, f: Frame): { x0: number; y0: number; x1: number; y1: number } {
  return { x0: f.x(g.x0_mm), y0: f.y(g.y0_mm + (g.ny - 1) * g.dy_mm), x1: f.x(g.x0_mm + (g.nx - 1) * g.dx_mm), y1: f.y(g.y0_mm) };
}

/** A line with its height, where there is room for it. */
function line(pen: CanvasRenderingContext2D, points: Ring, words: string, placer: Placer): void {
  const labels = placer.along(points, pen.measureText(words).width, 12);
  pen.strokeStyle = ink.soft;
  pen.lineWidth = 1;
  for (const part of new Ruler(points).without(labels)) {
    pen.beginPath();
    part.forEach(([x, y], i) => (i === 0 ? pen.moveTo(x, y) : pen.lineTo(x, y)));
    pen.stroke();
  }
  pen.fillStyle = ink.stone;
  for (const l of labels) {
    pen.save();
    pen.translate(l.x, l.y);
    pen.rotate(l.angle);
    pen.fillText(words, 0, 0);
    pen.restore();
  }
}

function dot(pen: CanvasRenderingContext2D, x: number, y: number): void {
  pen.fillStyle = ink.soft;
  pen.beginPath();
  pen.arc(x, y, 1.3, 0, 2 * Math.PI);
  pen.fill();
}

/** A point that carries the zone: a full triangle where the upper plane touches, an open one where the lower does. */
function contact(pen: CanvasRenderingContext2D, x: number, y: number, above: boolean): void {
  const r = 7;
  pen.beginPath();
  pen.moveTo(x, y + (above ? -r : r));
  pen.lineTo(x + r, y + (above ? r : -r) * 0.8);
  pen.lineTo(x - r, y + (above ? r : -r) * 0.8);
  pen.closePath();
  pen.lineWidth = 2;
  pen.strokeStyle = ink.bad;
  pen.fillStyle = above ? ink.bad : ink.sheet;
  pen.fill();
  pen.stroke();
}

/** The words of what lies beyond each edge. */
function edges(pen: CanvasRenderingContext2D, c: Chart, f: Frame): void {
  const e = c.edges ?? {};
  const b = f.box_mm;
  pen.fillStyle = ink.soft;
  const write = (text: string | undefined, x: number, y: number, turn: number): void => {
    if (!text) return;
    pen.save();
    pen.translate(x, y);
    pen.rotate(turn);
    pen.fillText(text, 0, 0);
    pen.restore();
  };
  const [mx, my] = [f.x((b.x0 + b.x1) / 2), f.y((b.y0 + b.y1) / 2)];
  write(e["x-"], f.x(b.x0) - 14, my, -Math.PI / 2);
  write(e["x+"], f.x(b.x1) + 14, my, -Math.PI / 2);
  write(e["y-"], mx, f.y(b.y0) + 14, 0);
  write(e["y+"], mx, f.y(b.y1) - 14, 0);
}

/** Paints what moves: where it is read, and the straightedge. */
export function paintOver(pen: CanvasRenderingContext2D, f: Frame, here: { x: number; y: number } | null, line: { x: number; y: number }[]): void {
  pen.clearRect(0, 0, f.width, f.height);
  if (line.length > 0) straightedge(pen, line.map((p): [number, number] => [f.x(p.x), f.y(p.y)]));
  if (!here) return;
  const [x, y] = [f.x(here.x), f.y(here.y)];
  for (const [colour, width] of [[ink.sheet, 4], [ink.stone, 1.5]] as const) {
    pen.strokeStyle = colour;
    pen.lineWidth = width;
    pen.beginPath();
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]] as const) {
      pen.moveTo(x + 5 * dx, y + 5 * dy);
      pen.lineTo(x + 15 * dx, y + 15 * dy);
    }
    pen.stroke();
  }
}

function straightedge(pen: CanvasRenderingContext2D, points: Ring): void {
  for (const [colour, width] of [[ink.sheet, 6], [ink.stone, 2.5]] as const) {
    pen.strokeStyle = pen.fillStyle = colour;
    pen.lineWidth = width;
    pen.beginPath();
    points.forEach(([x, y], i) => (i === 0 ? pen.moveTo(x, y) : pen.lineTo(x, y)));
    pen.stroke();
    for (const [x, y] of points) {
      pen.beginPath();
      pen.arc(x, y, width === 6 ? 8 : 6, 0, 2 * Math.PI);
      pen.fill();
    }
  }
}
