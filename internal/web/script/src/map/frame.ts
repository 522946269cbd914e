// Where a place on the stone lies on the screen: x to the right, y up. Pure.

import { bounds, type Chart, type Place } from "./chart";

export class Frame {
  readonly scale: number; // pixels for a mm
  readonly width: number;
  readonly height: number;
  private readonly left: number;
  private readonly top: number;
  private readonly box: ReturnType<typeof bounds>;

  constructor(c: Chart, wide: number, high: number, margin: number) {
    this.box = bounds(c);
    const [sx, sy] = [this.box.x1 - this.box.x0, this.box.y1 - this.box.y0];
    this.scale = Math.max(0.01, Math.min((wide - 2 * margin) / sx, (high - 2 * margin) / sy));
    this.width = wide;
    this.height = sy * this.scale + 2 * margin;
    this.left = (wide - sx * this.scale) / 2;
    this.top = margin;
  }

  x(mm: number): number {
    return this.left + (mm - this.box.x0) * this.scale;
  }

  y(mm: number): number {
    return this.top + (this.box.y1 - mm) * this.scale;
  }

  /** The place under a point of the screen, kept on the stone. */
  place(px: number, py: number): Place {
    return {
      x: Math.max(this.box.x0, Math.min(this.box.x1, (px - this.left) / this.scale + this.box.x0)),
      y: Math.max(this.box.y0, Math.min(this.box.y1, this.box.y1 - (py - this.top) / this.scale)),
    };
  }

  get box_mm(): ReturnType<typeof bounds> {
    return this.box;
  }
}
