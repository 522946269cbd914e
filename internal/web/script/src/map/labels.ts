// Heights set into their contour lines: on straight stretches, clear of each other, never upside down. Pure; lengths are pixels.

import type { Ring } from "./lines";

export interface Label {
  x: number;
  y: number;
  angle: number;
  from: number; // the stretch of the line that is left out beneath the words, measured along it
  to: number;
}

const step = 6;
const pad = 3;
const bend = 0.25; // of the words' height that the line may bend beneath them
const apart = 260; // between two labels of one line

export class Placer {
  private readonly taken: { x: number; y: number; r: number }[] = [];

  /** Labels stay within the box. */
  constructor(private readonly box: { x0: number; y0: number; x1: number; y1: number }) {}

  /** Keeps labels away from a place. */
  block(x: number, y: number, r: number): void {
    this.taken.push({ x, y, r });
  }

  /** Places for words of this size along a line. */
  along(points: Ring, w: number, h: number): Label[] {
    const ruler = new Ruler(points);
    if (ruler.length < 2.2 * w) return [];
    const half = w / 2 + pad;
    const found: (Label & { score: number })[] = [];
    for (let s = half; s <= ruler.length - half; s += step) {
      const [a, b, m] = [ruler.at(s - half), ruler.at(s + half), ruler.at(s)];
      const chord = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const off = Math.abs((b[0] - a[0]) * (m[1] - a[1]) - (b[1] - a[1]) * (m[0] - a[0])) / (chord || 1);
      if (off > bend * h || chord < 1.9 * half) continue;
      let angle = Math.atan2(b[1] - a[1], b[0] - a[0]);
      if (angle > Math.PI / 2) angle -= Math.PI;
      if (angle <= -Math.PI / 2) angle += Math.PI;
      found.push({ x: (a[0] + b[0]) / 2, y: (a[1] + b[1]) / 2, angle, from: s - half, to: s + half, score: off / h + Math.abs(angle) / 4 });
    }
    found.sort((p, q) => p.score - q.score);
    const out: Label[] = [];
    for (const f of found) {
      if (out.length > ruler.length / 600) break;
      if (out.some((o) => Math.abs(o.from - f.from) < apart) || !this.free(f, half, h)) continue;
      out.push({ x: f.x, y: f.y, angle: f.angle, from: f.from, to: f.to });
      this.block(f.x, f.y, half);
    }
    return out;
  }

  private free(f: Label, half: number, h: number): boolean {
    const [dx, dy] = [Math.abs(Math.cos(f.angle)) * half + h / 2, Math.abs(Math.sin(f.angle)) * half + h / 2];
    const b = this.box;
    if (f.x - dx < b.x0 || f.x + dx > b.x1 || f.y - dy < b.y0 || f.y + dy > b.y1) return false;
    return this.taken.every((t) => Math.hypot(t.x - f.x, t.y - f.y) > t.r + half);
  }
}

/** Measures along a line. */
export class Ruler {
  private readonly marks: number[] = [0];

  constructor(private readonly points: Ring) {
    for (let i = 1; i < points.length; i++) {
      const [p, q] = [points[i - 1]!, points[i]!];
      this.marks.push(this.marks[i - 1]! + Math.hypot(q[0] - p[0], q[1] - p[1]));
    }
  }

  get length(): number {
    return this.marks[this.marks.length - 1]!;
  }

  /** The place so far along the line. */
  at(s: number): [number, number] {
    const k = this.side(s);
    const [p, q] = [this.points[k - 1]!, this.points[k]!];
    const [a, b] = [this.marks[k - 1]!, this.marks[k]!];
    const t = b === a ? 0 : (s - a) / (b - a);
    return [p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t];
  }

  private side(s: number): number {
    let [low, high] = [1, this.marks.length - 1];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.marks[middle]! < s) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** What is left of the line when some stretches are taken out. */
  without(gaps: readonly { from: number; to: number }[]): Ring[] {
    const out: Ring[] = [];
    let from = 0;
    for (const g of [...gaps].sort((a, b) => a.from - b.from)) {
      out.push(this.part(from, g.from));
      from = g.to;
    }
    out.push(this.part(from, this.length));
    return out.filter((r) => r.length > 1);
  }

  private part(from: number, to: number): Ring {
    if (to <= from) return [];
    const inner = this.points.filter((_, i) => this.marks[i]! > from && this.marks[i]! < to);
    return [this.at(from), ...inner, this.at(to)];
  }
}
