// The face map on a page: the picture, the readout under finger, pointer or keys, and the straightedge.

import { make, numbers } from "../base/page";
import { say } from "../base/words";
import { extremesAt, readAt, type Chart, type Place } from "./chart";
import { isProfile, profileOf } from "./edge";
import { Frame } from "./frame";
import { paint, paintOver, ready, type Ready } from "./paint";
import { ProfileView } from "./profile";

const margin = 26; // px around the stone, for the words at its edges
const grab = 24; // px around an end of the straightedge that take hold of it
const profilePoints = 240;
const notable = 5; // µm between the extremes around a place that are worth telling

export class MapView {
  private readonly still = make("canvas", { class: "map-still", "aria-hidden": "true" });
  private readonly over = make("canvas", { class: "map-over", tabindex: "0", role: "application" });
  private readonly stage = make("div", { class: "map-stage" }, this.still, this.over);
  private readonly readout = make("output", { class: "map-readout" });
  private readonly spoken = make("p", { class: "said-only", role: "status" });
  private readonly rule = make("button", { type: "button", "aria-pressed": "false" }, say("script.lay-straightedge"));
  private readonly profile = new ProfileView();
  private readonly ready: Ready;
  private frame: Frame;
  private here: Place | null = null;
  private line: Place[] = [];
  private dragged: number | null = null; // the end that moves with the pointer
  private asked: AbortController | undefined;

  constructor(
    private readonly figure: HTMLElement,
    private readonly chart: Chart,
    private readonly profileAddress: string | undefined,
  ) {
    this.ready = ready(chart);
    this.frame = new Frame(chart, 300, 300, margin);
    const notes = [chart.datum, chart.state].filter(Boolean).join(" · ");
    this.over.setAttribute("aria-label", say("script.map-keys", { title: chart.title ?? "" }));
    const tools = make("div", { class: "map-tools" }, this.readout, this.rule);
    const box = make("div", { class: "map" }, this.stage, tools, this.spoken, ...(notes ? [make("p", { class: "soft" }, notes)] : []), this.profile.box);
    this.figure.prepend(box);
    this.wire();
    new ResizeObserver(() => this.size()).observe(this.stage);
    this.size();
  }

  private wire(): void {
    const o = this.over;
    o.addEventListener("pointerdown", (e) => this.down(e));
    o.addEventListener("pointermove", (e) => this.move(e));
    for (const end of ["pointerup", "pointercancel"] as const) o.addEventListener(end, () => this.up());
    o.addEventListener("pointerleave", () => {
      if (this.dragged === null && document.activeElement !== o) this.look(null);
    });
    o.addEventListener("keydown", (e) => this.key(e));
    this.rule.addEventListener("click", () => this.ruling(this.rule.getAttribute("aria-pressed") !== "true"));
  }

  /** Fits the map to the page, sharp on every screen. */
  private size(): void {
    const wide = Math.floor(this.stage.clientWidth);
    if (wide < 50) return;
    this.frame = new Frame(this.chart, wide, Math.max(320, innerHeight * 0.72), margin);
    const dots = devicePixelRatio || 1;
    for (const c of [this.still, this.over]) {
      c.width = Math.round(this.frame.width * dots);
      c.height = Math.round(this.frame.height * dots);
      c.style.width = `${this.frame.width}px`;
      c.style.height = `${this.frame.height}px`;
      c.getContext("2d")?.setTransform(dots, 0, 0, dots, 0, 0);
    }
    this.stage.style.height = `${this.frame.height}px`;
    const pen = this.still.getContext("2d");
    if (pen) paint(pen, this.chart, this.ready, this.frame);
    this.draw();
    this.profile.resize();
  }

  private draw(): void {
    const pen = this.over.getContext("2d");
    if (pen) paintOver(pen, this.frame, this.here, this.line);
  }

  private at(e: PointerEvent): Place {
    return this.frame.place(e.offsetX, e.offsetY);
  }

  private down(e: PointerEvent): void {
    const p = this.at(e);
    this.look(p);
    const held = this.line.findIndex((q) => Math.hypot(this.frame.x(q.x) - e.offsetX, this.frame.y(q.y) - e.offsetY) < grab);
    const mouse = e.pointerType === "mouse";
    if (!mouse && this.rule.getAttribute("aria-pressed") !== "true" && held < 0) return;
    this.over.setPointerCapture(e.pointerId);
    if (held >= 0) {
      this.dragged = held;
    } else {
      this.line = [p];
      this.dragged = 1;
    }
  }

  private move(e: PointerEvent): void {
    const p = this.at(e);
    if (this.dragged !== null) {
      this.line[this.dragged] = p;
    }
    this.look(p);
  }

  private up(): void {
    if (this.dragged === null) return;
    this.dragged = null;
    this.laid();
  }

  /** Shows the height at a place. */
  private look(p: Place | null, aloud = false): void {
    this.here = p;
    const words = p ? this.words(p) : "";
    this.readout.textContent = words;
    if (aloud) this.spoken.textContent = words;
    this.draw();
  }

  private words(p: Place): string {
    const z = readAt(this.chart, p.x, p.y);
    const height = Number.isNaN(z) ? say("script.not-read") : numbers.small(z) + this.extremes(p);
    return say("script.readout", { height, x: numbers.place(p.x), y: numbers.place(p.y) });
  }

  /** What lies around a place of a dense scan: the map shows its middle. */
  private extremes(p: Place): string {
    const [least, most] = extremesAt(this.chart, p.x, p.y) ?? [0, 0];
    return most - least < notable ? "" : ` (${say("script.from-to", { low: numbers.small(least), high: numbers.small(most) })})`;
  }

  private key(e: KeyboardEvent): void {
    const b = this.frame.box_mm;
    const step = (e.shiftKey ? 50 : 10) * (numbers.units === "mm" ? 1 : 1.27); // half an inch for who reads inches
    const by: Record<string, [number, number]> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    const way = by[e.key];
    if (way) {
      const from = this.here ?? { x: (b.x0 + b.x1) / 2, y: (b.y0 + b.y1) / 2 };
      const p = { x: clamp(from.x + way[0] * step, b.x0, b.x1), y: clamp(from.y + way[1] * step, b.y0, b.y1) };
      if (this.line.length === 1) this.dragged = null;
      this.look(p, true);
    } else if (e.key === "Enter" && this.here) {
      this.line = this.line.length === 1 ? [this.line[0]!, this.here] : [this.here];
      this.laid();
    } else if (e.key === "Escape" && this.line.length > 0) {
      this.ruling(false);
    } else {
      return;
    }
    e.preventDefault();
  }

  /** While a straightedge is being laid, a finger draws; otherwise it moves the page. */
  private ruling(on: boolean): void {
    this.rule.setAttribute("aria-pressed", String(on));
    this.over.toggleAttribute("data-ruling", on);
    if (on) return;
    this.line = [];
    this.dragged = null;
    this.asked?.abort();
    this.profile.clear();
    this.draw();
  }

  /** The straightedge lies: shows what is under it. */
  private laid(): void {
    const [a, b] = this.line;
    this.draw();
    if (!a || !b) return;
    if (Math.hypot(b.x - a.x, b.y - a.y) < 20) {
      this.line = []; // a tap
      this.draw();
      return;
    }
    void this.fetchProfile(a, b);
  }

  private async fetchProfile(a: Place, b: Place): Promise<void> {
    this.asked?.abort();
    const asked = (this.asked = new AbortController());
    const own = profileOf(this.chart, a, b, profilePoints);
    if (!this.profileAddress) {
      this.profile.show(own, say("script.from-map"));
      return;
    }
    const address = new URL(this.profileAddress, location.href);
    address.searchParams.set("from", `${a.x.toFixed(1)},${a.y.toFixed(1)}`);
    address.searchParams.set("to", `${b.x.toFixed(1)},${b.y.toFixed(1)}`);
    address.searchParams.set("n", String(profilePoints));
    try {
      const answer = await fetch(address, { headers: { Accept: "application/json" }, credentials: "same-origin", signal: asked.signal });
      const sent: unknown = answer.ok ? await answer.json() : null;
      if (!isProfile(sent)) throw new Error("no profile came");
      this.profile.show(sent, "");
    } catch {
      if (!asked.signal.aborted) this.profile.show(own, say("script.from-map"));
    }
  }
}

function clamp(x: number, low: number, high: number): number {
  return Math.max(low, Math.min(high, x));
}
