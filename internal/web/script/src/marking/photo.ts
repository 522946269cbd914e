// A photo of a flat slab with known points: the projective map of a plane, as cutting/marking has it in Go. Distortion of the lens is not taken out.

export interface Place {
  x: number; // mm on the slab
  y: number;
}

/** A place on the photo in its pixels, v downward, that was measured on the slab. */
export interface Known extends Place {
  name: string;
  u: number;
  v: number;
}

/** Why four points make no map. */
export interface Fault {
  fault: "in-line" | "order" | "mirrored";
  points: string[];
}

const inLine = 0.02; // least height of a triangle over its longest side

type Corners = readonly [Place, Place, Place, Place];

/** Twice the area of a triangle, positive when it runs anticlockwise with y upward. */
const turn = (a: Place, b: Place, c: Place): number => (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
const apart = (a: Place, b: Place): number => Math.hypot(b.x - a.x, b.y - a.y);

/** Makes the map from the first four points, exactly; further ones are held against it. Fewer than four are a caller's fault. */
export function photoOf(known: readonly Known[]): Photo | Fault {
  const [a, b, c, d] = known;
  if (!a || !b || !c || !d) throw new Error("a photo needs four known points");
  const four = [a, b, c, d];
  const real: Corners = [a, b, c, d];
  const at = (k: Known): Place => ({ x: k.u, y: k.v });
  const seen: Corners = [at(a), at(b), at(c), at(d)];
  for (const p of [real, seen]) {
    const left = flattest(p);
    if (left !== null) return { fault: "in-line", points: four.filter((_, i) => i !== left).map((k) => k.name) };
  }
  const [lambda, mu] = [shares(seen), shares(real)];
  const points = four.map((k) => k.name);
  if (!mu.every((m, i) => m / lambda[i]! > 0)) return { fault: "order", points };
  if (turn(seen[0], seen[1], seen[2]) * turn(real[0], real[1], real[2]) > 0) return { fault: "mirrored", points };
  return new Photo(joined(seen, real, lambda, mu), known);
}

/** Which point is left when the other three lie in a line; null when no three do. */
function flattest(p: Corners): number | null {
  let [least, left] = [Infinity, 0];
  for (let i = 0; i < 4; i++) {
    const [a, b, c] = [p[(i + 1) % 4]!, p[(i + 2) % 4]!, p[(i + 3) % 4]!];
    const longest = Math.max(apart(a, b), apart(b, c), apart(c, a));
    const f = longest > 0 ? Math.abs(turn(a, b, c)) / (longest * longest) : 0;
    if (f < least) [least, left] = [f, i];
  }
  return least < inLine ? left : null;
}

/** λ with λ₁p₁ + λ₂p₂ + λ₃p₃ = p₄. */
function shares(p: Corners): number[] {
  const all = turn(p[0], p[1], p[2]);
  return [turn(p[3], p[1], p[2]) / all, turn(p[0], p[3], p[2]) / all, turn(p[0], p[1], p[3]) / all];
}

/** The map that takes λᵢpᵢ to μᵢqᵢ, row after row. */
function joined(p: Corners, q: Corners, lambda: number[], mu: number[]): number[] {
  const all = turn(p[0], p[1], p[2]);
  const h = new Array<number>(9).fill(0);
  for (let i = 0; i < 3; i++) {
    const [b, c] = [p[(i + 1) % 3]!, p[(i + 2) % 3]!];
    const w = [(b.y - c.y) / all, (c.x - b.x) / all, (b.x * c.y - c.x * b.y) / all];
    const f = mu[i]! / lambda[i]!;
    for (let k = 0; k < 3; k++) {
      h[k]! += f * q[i]!.x * w[k]!;
      h[3 + k]! += f * q[i]!.y * w[k]!;
      h[6 + k]! += f * w[k]!;
    }
  }
  return h;
}

export class Photo {
  private readonly back: number[];

  constructor(
    private readonly h: readonly number[],
    private readonly known: readonly Known[],
  ) {
    const m = (i: number): number => h[i]!;
    this.back = [
      m(4) * m(8) - m(5) * m(7), m(2) * m(7) - m(1) * m(8), m(1) * m(5) - m(2) * m(4),
      m(5) * m(6) - m(3) * m(8), m(0) * m(8) - m(2) * m(6), m(2) * m(3) - m(0) * m(5),
      m(3) * m(7) - m(4) * m(6), m(1) * m(6) - m(0) * m(7), m(0) * m(4) - m(1) * m(3),
    ];
  }

  /** Where a place of the photo lies on the slab; null beyond its horizon. */
  at(u: number, v: number): Place | null {
    const h = this.h;
    const w = h[6]! * u + h[7]! * v + h[8]!;
    if (!(w > 1e-6)) return null;
    return { x: (h[0]! * u + h[1]! * v + h[2]!) / w, y: (h[3]! * u + h[4]! * v + h[5]!) / w };
  }

  /** Where a place of the slab is on the photo; null when it lies behind the camera. */
  seen(p: Place): { u: number; v: number } | null {
    const b = this.back;
    const w = b[6]! * p.x + b[7]! * p.y + b[8]!;
    const [u, v] = [(b[0]! * p.x + b[1]! * p.y + b[2]!) / w, (b[3]! * p.x + b[4]! * p.y + b[5]!) / w];
    return Number.isFinite(u) && Number.isFinite(v) && this.at(u, v) ? { u, v } : null;
  }

  /** How much of the slab one pixel is, in the direction in which it is most, mm. */
  step(u: number, v: number): number {
    const p = this.at(u, v);
    if (!p) return Infinity;
    const h = this.h;
    const w = h[6]! * u + h[7]! * v + h[8]!;
    const [a, b] = [(h[0]! - h[6]! * p.x) / w, (h[1]! - h[7]! * p.x) / w];
    const [c, d] = [(h[3]! - h[6]! * p.y) / w, (h[4]! - h[7]! * p.y) / w];
    return (Math.hypot(a + d, c - b) + Math.hypot(a - d, c + b)) / 2;
  }

  /** The largest step at the four points, mm. */
  coarsest(): number {
    return Math.max(...this.known.slice(0, 4).map((k) => this.step(k.u, k.v)));
  }

  /** How far off the worst of the further points lies, mm; null where there is none. */
  doubt(): number | null {
    const off = this.known.slice(4).map((k) => {
      const p = this.at(k.u, k.v);
      return p ? apart(p, k) : Infinity;
    });
    return off.length > 0 ? Math.max(...off) : null;
  }
}

/** Sides of four corners A, B, C and D, anticlockwise seen from above, and the diagonal AC, mm. */
export interface Tape {
  AB: number;
  BC: number;
  CD: number;
  DA: number;
  AC: number;
}

/** The corners by their sides: A in the origin, B on the x axis; null when a triangle does not close. */
export function corners(t: Tape): Corners | null {
  if (![t.AB, t.BC, t.CD, t.DA, t.AC].every((s) => s >= 1 && s <= 1e5)) return null;
  if (flat(t.AB, t.BC, t.AC) || flat(t.CD, t.DA, t.AC)) return null;
  const c = apex(t.AB, t.AC, t.BC);
  const d = apex(t.AC, t.DA, t.CD);
  const [ex, ey] = [c.x / t.AC, c.y / t.AC];
  return [{ x: 0, y: 0 }, { x: t.AB, y: 0 }, c, { x: d.x * ex - d.y * ey, y: d.x * ey + d.y * ex }];
}

/** The length of the diagonal that was not measured. */
export const otherDiagonal = (c: Corners): number => apart(c[1], c[3]);

function flat(a: number, b: number, c: number): boolean {
  const longest = Math.max(a, b, c);
  const s = (a + b + c) / 2;
  const square = s * (s - a) * (s - b) * (s - c);
  return !(square > 0) || (2 * Math.sqrt(square)) / longest < inLine * longest;
}

function apex(base: number, fromStart: number, fromEnd: number): Place {
  const x = (base * base + fromStart * fromStart - fromEnd * fromEnd) / (2 * base);
  return { x, y: Math.sqrt(Math.max(0, fromStart * fromStart - x * x)) };
}
