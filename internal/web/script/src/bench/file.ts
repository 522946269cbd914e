// The readings as a file that the mill reads, and the act that names it. Pure.

import type { Plan } from "./plan";

/** mm to the nanometre, without digits that say nothing. */
export function mm(x: number): string {
  const text = x.toFixed(6).replace(/0+$/, "").replace(/\.$/, "");
  return text === "-0" ? "0" : text;
}

/** One line of the header; what would break it is taken out. */
function line(key: string, value: string | undefined): string {
  const clean = (value ?? "").replace(/[\r\n]+/g, " ").trim();
  return clean === "" ? "" : `# ${key}: ${clean}\n`;
}

/** What else was written down beside the readings. */
export interface Beside {
  top_c?: number;
  bottom_c?: number;
  humidity_percent?: number;
  wet?: boolean;
}

/** The file. A place that was not read has no height. */
export function readingsFile(p: Plan, values: readonly (number | null)[], beside: Beside, day: string): string {
  const rows = p.points.some((q) => q.row);
  const temperature = [
    beside.top_c !== undefined ? `top ${beside.top_c} C` : "",
    beside.bottom_c !== undefined ? `bottom ${beside.bottom_c} C` : "",
  ].filter((t) => t !== "").join(", ");
  let text =
    line("piece", [p.piece, p.place].filter(Boolean).join(" ")) +
    line("unit", "mm") +
    line("size", `${mm(p.size_mm[0])} x ${mm(p.size_mm[1])} mm`) +
    line("face", p.face) +
    line("support", p.support) +
    line("instrument", [p.gauge.instrument, p.gauge.says].filter(Boolean).join(" ")) +
    line("u", p.gauge.u_mm !== undefined ? `${mm(p.gauge.u_mm)} mm` : "") +
    line("temperature", temperature) +
    line("date", day);
  for (const [key, value] of p.header ?? []) text += line(key, value);
  text += rows ? "x,y,z,row\n" : "x,y,z\n";
  for (const [i, q] of p.points.entries()) {
    const v = values[i] ?? null;
    text += `${mm(q.x_mm)},${mm(q.y_mm)},${v === null ? "" : mm(v)}${rows ? `,${q.row ?? ""}` : ""}\n`;
  }
  return text;
}

/** The act read that goes with the file. */
export function readAct(p: Plan, digest: string, beside: Beside): Record<string, unknown> {
  const body: Record<string, unknown> = { thing: `piece:${p.piece}`, what: p.face, instruments: [p.gauge.instrument] };
  if (p.bench) body["bench"] = p.bench;
  if (p.support) body["support"] = p.support;
  if (beside.top_c !== undefined) body["top_c"] = beside.top_c;
  if (beside.bottom_c !== undefined) body["bottom_c"] = beside.bottom_c;
  if (beside.humidity_percent !== undefined) body["humidity_percent"] = beside.humidity_percent;
  if (beside.wet) body["wet"] = true;
  return { ...body, blob: digest };
}

/** What the mill is asked while readings come in. */
export function soFar(p: Plan, values: readonly (number | null)[]): object {
  const points = p.points.flatMap((q, i) => {
    const v = values[i] ?? null;
    return v === null ? [] : [{ x_mm: q.x_mm, y_mm: q.y_mm, z_mm: Number(mm(v)), row: q.row ?? "" }];
  });
  return { piece: p.piece, face: p.face, points, left: p.points.length - points.length };
}
