// What is to be read: the page brings the plan, the server has thought it out.

/** A place on the stone to be read. row is joint+ or joint− where it belongs to a joint's row. */
export interface Point {
  x_mm: number;
  y_mm: number;
  row?: string;
}

/** The gauge as it speaks: its unit, and between which numbers a reading can lie. */
export interface Gauge {
  instrument: string;
  says?: string;
  unit: Unit;
  range_mm?: [number, number];
  jump_mm?: number;
  decimals?: number;
  u_mm?: number;
}

export type Unit = "mm" | "µm" | "in" | "thou";

export interface Plan {
  piece: string;
  place?: string;
  face: "top" | "bottom";
  size_mm: [number, number];
  points: Point[];
  gauge: Gauge;
  bench?: string;
  support?: string;
  station?: string;
  says?: string; // what a person calls the reading
  header?: [string, string][];
  edges?: Partial<Record<"x-" | "x+" | "y-" | "y+", string>>; // what lies beyond each edge, in words
  keys?: { next?: string[]; undo?: string[] };
  so_far?: string;
  after?: string;
  whole?: boolean; // all points must be read
}

const mmIn: Record<Unit, number> = { mm: 1, µm: 0.001, in: 25.4, thou: 0.0254 };

/** A number of the gauge in mm. */
export function inMM(x: number, unit: Unit): number {
  return x * mmIn[unit];
}

/** mm as the gauge shows them. */
export function asGauge(mm: number, unit: Unit): number {
  return mm / mmIn[unit];
}

/** The plan, or what is wrong with it. */
export function readPlan(text: string): Plan {
  const p = JSON.parse(text) as Plan;
  if (!p.piece || !Array.isArray(p.points) || p.points.length === 0 || !(p.gauge?.unit in mmIn) || !(p.size_mm?.[0] > 0) || !(p.size_mm[1] > 0)) {
    throw new Error("the page brought no plan of readings");
  }
  return p;
}
