// The list of measured features as it is filled in, one cell at a time: what stands beside stays as it was. Pure.

import { readNumber } from "../bench/typed";
import type { Unit } from "../bench/plan";
import { cells, title } from "../marking/list";

/** A feature as it is drawn, with what it is and where it lies in words. */
export interface Drawn {
  feature: string;
  says: string;
  x_mm: number;
  y_mm: number;
  diameter_mm: number;
}

export type Column = "x" | "y" | "diameter" | "gauge";

const known = new Set(["feature", "x", "y", "diameter", "u", "u diameter", "gauge", "plug", "point", "run", "method"]);
const numbers: readonly string[] = ["x", "y", "diameter", "gauge", "plug"];

/** A number for a cell as it was typed, with a decimal point, in mm or with its unit; null when it is none. */
export function cell(text: string, unit: Unit): string | null {
  const said = readNumber(text, unit);
  if (!said) return null;
  const of = said.unit ?? unit;
  const plain = (/[\d.,]+/.exec(text)?.[0] ?? "").replace(",", ".").replace(/^\./, "0.").replace(/\.$/, "");
  if (of !== "mm" && of !== "in") return String(Math.round(said.mm * 1e4) / 1e4);
  return (said.mm < 0 ? "-" : "") + plain + (of === "in" ? " in" : "");
}

export class List {
  private constructor(
    private readonly lines: string[],
    private readonly titles: number, // the line in which they stand
    private readonly mark: string,
    private columns: string[],
  ) {}

  /** Reads a list; null when it is in a form that cannot be filled in here. */
  static read(text: string): List | null {
    const lines = text.replace(/\r/g, "").replace(/\n+$/, "").split("\n");
    const at = lines.findIndex((l) => l.trim() !== "" && !l.trim().startsWith("#"));
    if (at < 0) return null;
    const mark = lines[at]!.includes(";") ? ";" : lines[at]!.includes("\t") ? "\t" : ",";
    const columns = cells(lines[at]!, mark).map(title);
    return columns.includes("feature") && columns.every((c) => known.has(c)) ? new List(lines, at, mark, columns) : null;
  }

  private row(feature: string): number {
    const name = this.columns.indexOf("feature");
    return this.lines.findIndex((l, i) => i > this.titles && cells(l, this.mark)[name]?.toLowerCase() === feature.toLowerCase());
  }

  get(feature: string, column: string): string {
    return cells(this.lines[this.row(feature)] ?? "", this.mark)[this.columns.indexOf(column)] ?? "";
  }

  set(feature: string, column: Column, to: string): void {
    if (!this.columns.includes(column)) {
      if (to === "") return;
      this.columns = [...this.columns, column];
      this.lines[this.titles] += this.mark + column;
    }
    const at = this.row(feature);
    const row = at < 0 ? [] : cells(this.lines[at]!, this.mark);
    while (row.length < this.columns.length) row.push("");
    row[this.columns.indexOf("feature")] = feature;
    row[this.columns.indexOf(column)] = to;
    const line = row.map((c) => (/["#]/.test(c) || c.includes(this.mark) ? `"${c.replaceAll('"', '""')}"` : c)).join(this.mark);
    if (at < 0) this.lines.push(line);
    else this.lines[at] = line;
  }

  /** Whether of x and y only one is there: no place. */
  half(feature: string): boolean {
    return (this.get(feature, "x") === "") !== (this.get(feature, "y") === "");
  }

  /** Whether nothing was measured of a feature, or half a place. */
  open(feature: string): boolean {
    return this.half(feature) || numbers.every((c) => this.get(feature, c) === "");
  }

  /** Whether diameters are asked for: the list has a column for them. */
  get wantsDiameter(): boolean {
    return this.columns.includes("diameter");
  }

  /** Whether the pins of a gauge are known. */
  get pin(): boolean {
    return this.lines.slice(0, this.titles).some((l) => /^\s*#\s*pin\s*:/i.test(l));
  }

  setPin(to: string): List {
    return List.read([`# pin: ${to}${/in$/.test(to) ? "" : " mm"}`, ...this.lines].join("\n"))!;
  }

  /** The next open feature from a place on, round to the beginning; -1 when there is none. */
  next(of: readonly Drawn[], from: number): number {
    for (let k = 0; k < of.length; k++) {
      const i = (from + k) % of.length;
      if (this.open(of[i]!.feature)) return i;
    }
    return -1;
  }

  text(): string {
    return this.lines.join("\n") + "\n";
  }
}
