// The profile under a straightedge: a chart, and the same as a table.

import uPlot from "uplot";
import { make, numbers } from "../base/page";
import { say } from "../base/words";
import type { Profile } from "./edge";
import { ink } from "./tints";

const high = 190; // px
const tableRows = 13;

export class ProfileView {
  readonly box = make("div", { class: "profile" });
  private plot: uPlot | undefined;

  /** Shows a profile; source says where it comes from when it is not the readings. */
  show(p: Profile, source: string): void {
    this.plot?.destroy();
    const words = say("script.gap", { gap: numbers.small(p.largest_gap_um), at: numbers.place(p.largest_gap_at_mm) });
    const place = make("div", { class: "profile-chart", "aria-hidden": "true" });
    this.box.replaceChildren(make("p", { role: "status" }, source === "" ? words : `${words} ${source}`), place, table(p));
    this.plot = new uPlot(options(Math.max(240, this.box.clientWidth)), data(p), place);
  }

  clear(): void {
    this.plot?.destroy();
    this.plot = undefined;
    this.box.replaceChildren();
  }

  resize(): void {
    this.plot?.setSize({ width: Math.max(240, this.box.clientWidth), height: high });
  }
}

function data(p: Profile): uPlot.AlignedData {
  const place = (mm: number): number => (numbers.units === "mm" ? mm : mm / 25.4);
  const height = (um: number | null): number | null => (um === null ? null : numbers.height(um));
  return [p.s_mm.map(place), p.z_um.map(height), p.edge_um.map(height)];
}

function options(width: number): uPlot.Options {
  const axis = { stroke: ink.soft, grid: { stroke: ink.hair, width: 1 }, ticks: { stroke: ink.hair, width: 1 }, font: "12px system-ui, sans-serif", labelFont: "12px system-ui, sans-serif", labelSize: 18 };
  const written = (_: uPlot, values: number[]): string[] => {
    const step = values.length > 1 ? Math.abs(values[1]! - values[0]!) : 1;
    return values.map((v) => numbers.plain(v, Math.max(0, Math.min(2, -Math.floor(Math.log10(step || 1) + 1e-9)))));
  };
  return {
    width, height: high,
    legend: { show: false },
    cursor: { drag: { x: false, y: false } },
    scales: { x: { time: false } },
    axes: [
      { ...axis, label: numbers.units === "mm" ? say("script.along-mm") : say("script.along-in"), values: written },
      { ...axis, label: numbers.heightUnit, values: written, size: 54 },
    ],
    series: [
      {},
      { label: say("script.surface"), stroke: ink.stone, width: 2, fill: "rgb(203 203 199 / .45)", fillTo: (u) => u.scales["y"]?.min ?? 0, points: { show: false } },
      { label: say("script.straightedge"), stroke: ink.bad, width: 1.5, dash: [7, 4], points: { show: false } },
    ],
  };
}

/** The same for who cannot see it. */
function table(p: Profile): HTMLElement {
  const rows: HTMLElement[] = [];
  for (let k = 0; k < tableRows; k++) {
    const i = Math.round(((p.s_mm.length - 1) * k) / (tableRows - 1));
    const [z, e] = [p.z_um[i] ?? null, p.edge_um[i] ?? null];
    rows.push(make("tr", {}, make("th", { scope: "row" }, numbers.place(p.s_mm[i] ?? 0)),
      make("td", {}, z === null ? say("script.not-read") : numbers.small(z)),
      make("td", {}, z === null || e === null ? "–" : numbers.small(Math.max(0, e - z)))));
  }
  const head = make("tr", {}, make("th", { scope: "col" }, say("script.along")), make("th", { scope: "col" }, say("script.height")), make("th", { scope: "col" }, say("script.gap-word")));
  return make("details", {}, make("summary", {}, say("script.as-table")), make("table", {}, make("thead", {}, head), make("tbody", {}, ...rows)));
}
