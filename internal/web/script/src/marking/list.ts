// The typed list of a slab, read and written: what is drawn stands in it, and what stands in it is drawn.

import { corners, type Place, type Tape } from "./photo";

export const kinds = ["outline", "crack", "vein", "stain", "hole"] as const;
export type Kind = (typeof kinds)[number];

/** Whether a kind is a line; the others are areas. */
export const isLine = (what: Kind): boolean => what === "crack" || what === "vein";

export interface Shape {
  what: Kind;
  name: string;
  points: readonly Place[];
  clearance: string; // mm, as typed
  face: string;
  forbids: string;
}

export interface List {
  heads: readonly string[]; // the lines with # above the titles
  shapes: readonly Shape[];
}

const titles = ["what", "name", "x", "y", "clearance", "face", "forbids"] as const;
const known = new Set<string>([...titles, "far"]);

/** Reads a list in mm; null when it is in a form that cannot be drawn here, such as JSON, another unit, or a column that is not known. */
export function read(text: string): List | null {
  const heads: string[] = [];
  const rows: string[][] = [];
  const lines = text.split("\n").map((l) => l.trim()).filter((l) => l !== "");
  let columns: string[] | null = null;
  let mark = ",";
  for (const line of lines) {
    if (line.startsWith("#")) {
      if (columns) return null;
      heads.push(line);
    } else if (!columns) {
      mark = line.includes(";") ? ";" : line.includes("\t") ? "\t" : ",";
      columns = cells(line, mark).map(title);
      if (!["what", "x", "y"].every((c) => columns!.includes(c)) || columns.some((c) => !known.has(c))) return null;
    } else {
      rows.push(cells(line, mark));
    }
  }
  if (!columns) return lines.length === heads.length ? { heads, shapes: [] } : null;
  const shapes = shapesOf(rows, columns, mark === ";");
  return shapes && { heads, shapes };
}

export const title = (cell: string): string => cell.toLowerCase().replaceAll(/[_-]/g, " ").replace(/\s*\(?\bmm\)?$/, "").trim();

/** Takes a line apart; a cell may stand in quotes. */
export function cells(line: string, mark: string): string[] {
  const list: string[] = [];
  let [cell, quoted] = ["", false];
  for (let i = 0; i < line.length; i++) {
    const c = line[i]!;
    if (c === '"' && quoted && line[i + 1] === '"') cell += line[i++];
    else if (c === '"') quoted = !quoted;
    else if (c === mark && !quoted) {
      list.push(cell.trim());
      cell = "";
    } else cell += c;
  }
  return [...list, cell.trim()];
}

/** A length in mm; NaN when it is none. */
function length(cell: string, comma: boolean): number {
  const plain = (comma ? cell.replace(",", ".") : cell).replace(/\s*mm$/, "");
  return /^[-+]?\d+(\.\d*)?$/.test(plain) ? Number(plain) : NaN;
}

function shapesOf(rows: string[][], columns: string[], comma: boolean): Shape[] | null {
  const cell = (row: string[], name: string): string => row[columns.indexOf(name)] ?? "";
  const shapes: Shape[] = [];
  const outline: Place[] = [];
  const far: Place[] = [];
  const sides: Partial<Record<keyof Tape | "BD", number>> = {};
  let last = "";
  for (const row of rows) {
    const what = cell(row, "what");
    const name = cell(row, "name");
    const x = length(cell(row, "x"), comma);
    if (what === "side") {
      if (Number.isNaN(x)) return null;
      sides[name as keyof Tape] = x;
      last = "";
      continue;
    }
    const p = { x, y: length(cell(row, "y"), comma) };
    if (Number.isNaN(p.x) || Number.isNaN(p.y) || !(kinds as readonly string[]).includes(what)) return null;
    if (what === "outline") {
      const edge = cell(row, "far");
      if (edge !== "") far.push({ x, y: length(edge, comma) });
      outline.push(p);
      last = "";
      continue;
    }
    const key = `${what}\n${name}`;
    if (key !== last) shapes.push({ what: what as Kind, name, points: [], clearance: cell(row, "clearance"), face: cell(row, "face"), forbids: cell(row, "forbids") });
    last = key;
    const shape = shapes.at(-1)!;
    shape.points = [...shape.points, p];
  }
  const rim = around(outline, far, sides);
  if (!rim) return null;
  return rim.length > 0 ? [{ what: "outline", name: "", points: rim, clearance: "", face: "", forbids: "" }, ...shapes] : shapes;
}

/** The outline by its corners, by both edges from a base line, or by its sides; null when it cannot be told. */
function around(outline: Place[], far: Place[], sides: Partial<Record<keyof Tape | "BD", number>>): Place[] | null {
  if (Object.keys(sides).length > 0) {
    const c = outline.length === 0 ? corners({ AB: 0, BC: 0, CD: 0, DA: 0, AC: 0, ...sides }) : null;
    return c && [...c];
  }
  if (far.length > 0 && (far.length !== outline.length || far.some((p) => Number.isNaN(p.y)))) return null;
  const rim = [...outline];
  for (const p of far.toReversed()) {
    const same = (q: Place | undefined): boolean => q?.x === p.x && q.y === p.y;
    if (!same(rim.at(-1)) && !same(rim[0])) rim.push(p);
  }
  return rim;
}

/** Writes a list. Areas that have no three corners yet are left out: the mill would refuse them. */
export function write(list: List): string {
  const lines = [...list.heads, titles.join(",")];
  for (const s of list.shapes) {
    if (!whole(s)) continue;
    s.points.forEach((p, i) => {
      const first = i === 0 ? [s.clearance, s.face, s.forbids] : ["", "", ""];
      lines.push([s.what, s.name, tenth(p.x), tenth(p.y), ...first].map(quoted).join(","));
    });
  }
  return lines.join("\n") + "\n";
}

/** Whether a shape has points enough to be one. */
export const whole = (s: Shape): boolean => s.points.length >= (isLine(s.what) ? 1 : 3);

const tenth = (mm: number): string => String(Math.round(mm * 10) / 10 || 0);
const quoted = (cell: string): string => (/[",;\n#]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);
