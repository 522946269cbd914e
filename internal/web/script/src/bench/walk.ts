// The walk over the points: what is read, which is next, what is asked again. Pure.

import type { Plan, Point } from "./plan";
import type { Said } from "./typed";

/** Why a number is not taken at once. */
export type Doubt = { is: "range"; low: number; high: number } | { is: "jump"; from: number; by: number } | { is: "unit" };

export class Walk {
  readonly values: (number | null)[];
  at = 0;
  private order: number[] = []; // the points in the order in which they were read or passed over
  private readonly passed = new Set<number>();

  constructor(readonly plan: Plan) {
    this.values = plan.points.map(() => null);
  }

  get point(): Point | undefined {
    return this.plan.points[this.at];
  }

  /** How many are read, and how many are not. */
  get read(): number {
    return this.values.filter((v) => v !== null).length;
  }

  get left(): number {
    return this.values.length - this.read;
  }

  get ended(): boolean {
    return this.at >= this.values.length;
  }

  /** What is doubtful about a number at the next point. One with more decimals than the gauge shows is perhaps in another unit. */
  doubt({ mm, decimals, unit }: Said): Doubt | null {
    const g = this.plan.gauge;
    const [low, high] = g.range_mm ?? [-Infinity, Infinity];
    if (mm < low || mm > high) return { is: "range", low, high };
    if (!unit && g.decimals !== undefined && decimals > g.decimals) return { is: "unit" };
    const near = this.nearest();
    if (near !== null && g.jump_mm !== undefined && Math.abs(mm - near) > g.jump_mm) return { is: "jump", from: near, by: mm - near };
    return null;
  }

  /** The reading nearest to the next point. */
  private nearest(): number | null {
    const here = this.point;
    if (!here) return null;
    let best: number | null = null;
    let least = Infinity;
    for (const [i, v] of this.values.entries()) {
      const p = this.plan.points[i]!;
      const d = (p.x_mm - here.x_mm) ** 2 + (p.y_mm - here.y_mm) ** 2;
      if (v !== null && i !== this.at && d < least) [best, least] = [v, d];
    }
    return best;
  }

  /** Takes a number at the next point and goes on. */
  take(mm: number): void {
    if (this.ended) return;
    this.values[this.at] = mm;
    this.passed.delete(this.at);
    this.step();
  }

  /** Passes over the next point: it cannot be read. */
  skip(): void {
    if (this.ended) return;
    this.passed.add(this.at);
    this.step();
  }

  private step(): void {
    this.order = this.order.filter((i) => i !== this.at);
    this.order.push(this.at);
    this.at = this.next(this.at + 1);
  }

  /** The first point from here that is neither read nor passed over; then those before; then those passed over, if all must be read. */
  private next(from: number): number {
    const n = this.values.length;
    for (const over of this.plan.whole ? [false, true] : [false]) {
      for (let k = 0; k < n; k++) {
        const i = (from + k) % n;
        if (this.values[i] === null && (over || !this.passed.has(i))) return i;
      }
    }
    return n;
  }

  /** Takes the last one back. */
  undo(): boolean {
    const last = this.order.pop();
    if (last === undefined) return false;
    this.values[last] = null;
    this.passed.delete(last);
    this.at = last;
    return true;
  }

  /** Goes to a point, to read it again or first. */
  go(i: number): void {
    if (i < 0 || i >= this.values.length) return;
    this.values[i] = null;
    this.passed.delete(i);
    this.order = this.order.filter((k) => k !== i);
    this.at = i;
  }

  /** The last points read, newest first. */
  latest(): { index: number; point: Point; mm: number | null }[] {
    return [...this.order].reverse().map((index) => ({ index, point: this.plan.points[index]!, mm: this.values[index] ?? null }));
  }

  /** What a draft keeps, and back. A draft of another plan is none. */
  draft(): Draft {
    return { plan: fingerprint(this.plan), values: [...this.values], order: [...this.order], passed: [...this.passed] };
  }

  resume(d: Draft | undefined): boolean {
    if (!d || d.plan !== fingerprint(this.plan) || d.values.length !== this.values.length || d.order.length === 0) return false;
    d.values.forEach((v, i) => (this.values[i] = v));
    this.order = [...d.order];
    for (const i of d.passed) this.passed.add(i);
    this.at = this.next(this.order[this.order.length - 1]! + 1);
    return true;
  }

  /** Whether the readings may be handed in: all are read, or the rest was passed over or is not needed. */
  mayEnd(enough: boolean): boolean {
    if (this.read === 0) return false;
    return this.plan.whole ? this.left === 0 : this.ended || enough;
  }
}

export interface Draft {
  plan: string;
  values: (number | null)[];
  order: number[];
  passed: number[];
}

function fingerprint(p: Plan): string {
  return JSON.stringify([p.piece, p.face, p.size_mm, p.points.map((q) => [q.x_mm, q.y_mm, q.row ?? ""]), p.gauge.instrument, p.gauge.unit]);
}
