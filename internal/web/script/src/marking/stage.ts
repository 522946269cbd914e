// The stage: the photo, or a plan where there is none, and over it what is drawn. It maps places of the slab to the screen and back.

import { draw, make } from "../base/page";
import { say } from "../base/words";
import { isLine, type Shape } from "./list";
import type { Photo, Place } from "./photo";
import { type Point } from "./points";

/** A place on the screen, CSS pixels from the stage's upper left corner. */
export interface Spot {
  x: number;
  y: number;
}

const mostPixels = 4096; // of the photo as it is drawn, either way
const margin = 24; // px around a plan
const usual = { x0: 0, y0: 0, x1: 3200, y1: 2000 }; // of a slab of which nothing is known, mm

export class Stage {
  readonly over = draw("svg", { class: "mark-over", tabindex: 0, role: "application", "aria-label": say("script.mark-stage") });
  private readonly under = make("canvas", { class: "mark-under", "aria-hidden": "true" });
  private readonly inner = make("div", { class: "mark-inner" }, this.under, this.over);
  readonly box = make("div", { class: "mark-stage" }, this.inner);
  private picture: ImageBitmap | null = null;
  private photo: Photo | null = null;
  private extent = usual;
  private zoom = 1;
  private scale = 1; // px of the screen a pixel of the photo, or a mm of the plan
  private drawn: () => void = () => {};
  cross: Spot | null = null; // where the keys are

  constructor() {
    new ResizeObserver(() => this.size()).observe(this.box);
  }

  /** Calls again when all must be drawn anew. */
  whenSized(drawn: () => void): void {
    this.drawn = drawn;
  }

  get hasPicture(): boolean {
    return this.picture !== null;
  }

  show(picture: ImageBitmap): void {
    this.picture?.close();
    this.picture = picture;
    this.zoom = 1;
    this.size();
  }

  /** The map of the photo; null while it is not known. */
  lay(photo: Photo | null): void {
    this.photo = photo;
  }

  /** Makes room on the plan for what is drawn. */
  hold(shapes: readonly Shape[]): void {
    const all = shapes.flatMap((s) => s.points);
    if (all.length === 0) return;
    const [xs, ys] = [all.map((p) => p.x), all.map((p) => p.y)];
    const e = { x0: Math.min(...xs), y0: Math.min(...ys), x1: Math.max(...xs), y1: Math.max(...ys) };
    const spare = 0.08 * Math.max(e.x1 - e.x0, e.y1 - e.y0, 100);
    this.extent = { x0: e.x0 - spare, y0: e.y0 - spare, x1: e.x1 + spare, y1: e.y1 + spare };
    if (!this.picture) this.size();
  }

  larger(by: number): void {
    const middle = [(this.box.scrollLeft + this.box.clientWidth / 2) / this.inner.offsetWidth, (this.box.scrollTop + this.box.clientHeight / 2) / this.inner.offsetHeight] as const;
    this.zoom = Math.min(6, Math.max(1, this.zoom * by));
    this.size();
    this.box.scrollTo(middle[0] * this.inner.offsetWidth - this.box.clientWidth / 2, middle[1] * this.inner.offsetHeight - this.box.clientHeight / 2);
  }

  private size(): void {
    const room = this.box.clientWidth;
    if (room < 50) return;
    const e = this.extent;
    const [wide, high] = this.picture ? [this.picture.width, this.picture.height] : [e.x1 - e.x0, e.y1 - e.y0];
    const border = this.picture ? 0 : 2 * margin;
    this.scale = ((room - border) / wide) * this.zoom;
    const [w, h] = [Math.round(wide * this.scale + border), Math.round(high * this.scale + border)];
    for (const e of [this.inner, this.over, this.under]) {
      e.style.width = `${w}px`;
      e.style.height = `${h}px`;
    }
    this.over.setAttribute("viewBox", `0 0 ${w} ${h}`);
    this.under.hidden = !this.picture;
    if (this.picture) {
      const dots = Math.min(devicePixelRatio || 1, mostPixels / w, mostPixels / h, this.picture.width / w);
      this.under.width = Math.round(w * dots);
      this.under.height = Math.round(h * dots);
      this.under.getContext("2d")?.drawImage(this.picture, 0, 0, this.under.width, this.under.height);
    }
    this.drawn();
  }

  /** The size of the stage, px. */
  get width(): number {
    return this.inner.offsetWidth;
  }

  get height(): number {
    return this.inner.offsetHeight;
  }

  /** Where a place of the slab is on the screen; null when it is not known. */
  spot(p: Place): Spot | null {
    if (!this.picture) return { x: margin + (p.x - this.extent.x0) * this.scale, y: margin + (this.extent.y1 - p.y) * this.scale };
    const s = this.photo?.seen(p);
    return s ? { x: s.u * this.scale, y: s.v * this.scale } : null;
  }

  /** Which place of the slab lies there; null when it is not known. */
  place(s: Spot): Place | null {
    const round = (p: Place): Place => ({ x: Math.round(p.x), y: Math.round(p.y) });
    if (!this.picture) return round({ x: this.extent.x0 + (s.x - margin) / this.scale, y: this.extent.y1 - (s.y - margin) / this.scale });
    const p = this.photo?.at(s.x / this.scale, s.y / this.scale);
    return p ? round(p) : null;
  }

  /** How many pixels of the screen a pixel of the photo is. */
  get perPixel(): number {
    return this.picture ? this.scale : 1;
  }

  /** The pixel of the photo that lies there. */
  pixel(s: Spot): { u: number; v: number } {
    return { u: s.x / this.scale, v: s.y / this.scale };
  }

  /** Draws everything anew: shapes, the one that goes on, the known points, and the cross of the keys. */
  paint(shapes: readonly Shape[], open: Shape | null, points: readonly Point[], held: Place | null): void {
    this.over.replaceChildren();
    for (const s of shapes) this.shape(s, s === open);
    if (this.picture) {
      for (const p of points) {
        if (p.u !== undefined && p.v !== undefined) this.named({ x: p.u * this.scale, y: p.v * this.scale }, p.name);
      }
    }
    const at = held && this.spot(held);
    if (at) this.over.append(draw("circle", { class: "mark-held", cx: at.x, cy: at.y, r: 14 }));
    if (this.cross) {
      const { x, y } = this.cross;
      this.over.append(draw("path", { class: "mark-cross", d: `M${x - 18} ${y}h36M${x} ${y - 18}v36` }));
    }
  }

  private shape(s: Shape, open: boolean): void {
    const spots = s.points.map((p) => this.spot(p));
    if (spots.some((p) => p === null)) return;
    const all = spots as Spot[];
    const d = all.map((p, i) => `${i === 0 ? "M" : "L"}${p.x.toFixed(1)} ${p.y.toFixed(1)}`).join("");
    const close = isLine(s.what) || open ? "" : "Z";
    // Twice: a light line below each dark one, so that it is seen on any photo.
    for (const layer of ["mark-halo", `mark-shape mark-${s.what}`]) this.over.append(draw("path", { class: layer, d: d + close }));
    for (const [i, p] of all.entries()) {
      this.over.append(draw("circle", { class: open && i === 0 ? "mark-first" : "mark-dot", cx: p.x, cy: p.y, r: open && i === 0 ? 9 : 4 }));
    }
  }

  private named(at: Spot, name: string): void {
    this.over.append(
      draw("circle", { class: "mark-ring", cx: at.x, cy: at.y, r: 11 }),
      draw("path", { class: "mark-ring", d: `M${at.x - 4} ${at.y}h8M${at.x} ${at.y - 4}v8` }),
      draw("text", { class: "mark-name", x: at.x + 14, y: at.y - 10 }, name),
    );
  }
}
