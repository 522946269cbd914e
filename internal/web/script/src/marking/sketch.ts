// What is drawn of a slab, with every step that can be taken back.

import { isLine, whole, type Kind, type List, type Shape } from "./list";
import type { Place } from "./photo";

interface State {
  list: List;
  open: boolean; // the last shape goes on
}

const mostSteps = 200;

export class Sketch {
  private now: State = { list: { heads: [], shapes: [] }, open: false };
  private before: State[] = [];

  get list(): List {
    return this.now.list;
  }

  /** The shape that goes on, if there is one. */
  get open(): Shape | null {
    return this.now.open ? (this.list.shapes.at(-1) ?? null) : null;
  }

  get canUndo(): boolean {
    return this.before.length > 0;
  }

  /** Takes a list that was typed; it can be undone like a step. */
  load(list: List): void {
    this.step({ list, open: false });
  }

  /** Whether a shape of this kind may be begun: a slab has one outline. */
  mayBegin(what: Kind): boolean {
    return what !== "outline" || !this.list.shapes.some((s) => s.what === "outline" && s !== this.open);
  }

  /** Adds a point to the shape that goes on, or begins one of another kind. Like is how far shapes of its kind stay away so far. */
  add(what: Kind, at: Place, name: string): void {
    const shapes = [...this.list.shapes];
    const last = this.open;
    if (last?.what === what) {
      shapes[shapes.length - 1] = { ...last, points: [...last.points, at] };
    } else {
      const kept = shapes.filter((s) => s !== last || whole(s));
      const like = kept.findLast((s) => s.what === what);
      kept.push({ what, name, points: [at], clearance: like?.clearance ?? "", face: "", forbids: "" });
      this.step({ list: { ...this.list, shapes: kept }, open: true });
      return;
    }
    this.step({ list: { ...this.list, shapes }, open: true });
  }

  /** Ends the shape that goes on; one with too few points is dropped. */
  finish(): void {
    const last = this.open;
    if (!last) return;
    const shapes = this.list.shapes.filter((s) => s !== last || whole(s));
    this.step({ list: { ...this.list, shapes }, open: false });
  }

  /** Whether a tap at the first point closes the shape that goes on. */
  closesAt(near: (p: Place) => boolean): boolean {
    const s = this.open;
    return s !== null && !isLine(s.what) && s.points.length >= 3 && near(s.points[0]!);
  }

  move(shape: number, point: number, to: Place): void {
    this.change(shape, (s) => ({ ...s, points: s.points.map((p, i) => (i === point ? to : p)) }));
  }

  keepOff(shape: number, clearance: string): void {
    this.change(shape, (s) => ({ ...s, clearance }));
  }

  remove(shape: number): void {
    const goes = this.list.shapes[shape];
    this.step({ list: { ...this.list, shapes: this.list.shapes.filter((_, i) => i !== shape) }, open: this.now.open && goes !== this.open });
  }

  undo(): boolean {
    const state = this.before.pop();
    if (state) this.now = state;
    return state !== undefined;
  }

  private change(shape: number, to: (s: Shape) => Shape): void {
    this.step({ list: { ...this.list, shapes: this.list.shapes.map((s, i) => (i === shape ? to(s) : s)) }, open: this.now.open });
  }

  private step(state: State): void {
    this.before.push(this.now);
    if (this.before.length > mostSteps) this.before.shift();
    this.now = state;
  }
}
