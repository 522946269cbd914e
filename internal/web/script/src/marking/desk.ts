// Marking out a slab by hand: tools, known points, the stage, and the lists in the form, which say the same.

import { make, numbers } from "../base/page";
import { say } from "../base/words";
import { isLine, kinds, read, write, type Kind } from "./list";
import { corners, otherDiagonal, photoOf, type Place } from "./photo";
import { isKnown, names, readPoints, writePoints, type Point } from "./points";
import { Sketch } from "./sketch";
import { Stage, type Spot } from "./stage";

type Tool = Kind | "known" | "move";

const mostBytes = 4 << 20; // of a list, as the mill takes it
const grab = 30; // px around a point that take hold of it: a finger in a wet glove

/** What a tool is called. The keys stand here as a whole, so that none is missed. */
const called: Record<Tool, string> = {
  known: say("script.mark-known"),
  outline: say("script.mark-outline"),
  crack: say("script.mark-crack"),
  vein: say("script.mark-vein"),
  stain: say("script.mark-stain"),
  hole: say("script.mark-hole"),
  move: say("script.mark-move"),
};

export class Desk {
  private readonly sketch = new Sketch();
  private readonly stage = new Stage();
  private points: Point[];
  private tool: Tool = "outline";
  private held: { shape: number; point: number } | null = null;
  private readonly says = make("p", { class: "mark-says", role: "status" });
  private readonly trust = make("p", { class: "mark-trust" });
  private readonly shapes = make("ul", { class: "mark-shapes", "aria-label": say("script.mark-shapes") });
  private readonly tools = new Map<Tool, HTMLButtonElement>();
  private readonly back = button(say("script.mark-undo"), () => this.undo());
  private readonly end = button(say("script.mark-finish"), () => this.finish());
  private readonly knownTool: HTMLButtonElement;
  private readonly fields: HTMLInputElement[] = [];
  private readonly measured: HTMLDetailsElement;

  constructor(
    box: HTMLElement,
    private readonly slab: HTMLTextAreaElement,
    private readonly known: HTMLTextAreaElement,
  ) {
    this.points = readPoints(known.value);
    const file = make("input", { type: "file", accept: "image/*", id: "mark-photo" });
    file.addEventListener("change", () => void this.open(file));
    const bar = make("div", { class: "mark-tools" });
    for (const t of ["known", ...kinds, "move"] as const) {
      const b = button(called[t], () => this.take(t));
      this.tools.set(t, b);
      bar.append(b);
    }
    this.knownTool = this.tools.get("known")!;
    const steps = make("div", { class: "mark-tools" }, this.back, this.end, button(say("script.mark-larger"), () => this.stage.larger(1.5)), button(say("script.mark-smaller"), () => this.stage.larger(1 / 1.5)));
    this.measured = make("details", { class: "mark-known" }, make("summary", {}, say("script.mark-measured")), this.table(), this.tape());
    box.replaceChildren(
      make("div", { class: "field" }, make("label", { for: "mark-photo" }, say("script.mark-choose")), make("span", { class: "hint" }, say("script.mark-stays")), file),
      this.measured, bar, this.says, this.stage.box, this.trust, steps, this.shapes,
    );
    this.stage.whenSized(() => this.fromPoints());
    this.wire();
    this.fromList();
    this.fromPoints();
    this.take("outline");
  }

  private wire(): void {
    const o = this.stage.over;
    o.addEventListener("click", (e) => {
      const r = o.getBoundingClientRect();
      this.tap({ x: e.clientX - r.left, y: e.clientY - r.top });
    });
    o.addEventListener("keydown", (e) => this.key(e));
    o.addEventListener("blur", () => {
      this.stage.cross = null;
      this.paint();
    });
    for (const list of [this.slab, this.known]) fromFile(list);
    this.slab.addEventListener("input", () => this.fromList());
    this.known.addEventListener("input", () => {
      this.points = readPoints(this.known.value);
      this.fromPoints();
    });
  }

  // The photo and its known points.

  private async open(file: HTMLInputElement): Promise<void> {
    const chosen = file.files?.[0];
    if (!chosen) return;
    try {
      this.stage.show(await createImageBitmap(chosen));
    } catch {
      this.tell(say("script.mark-no-picture"));
      return;
    }
    this.measured.open = true;
    this.fromPoints();
    this.take("known");
  }

  /** Five rows in which x and y of the known points are typed. */
  private table(): HTMLElement {
    const rows = names.map((name, i) => {
      const field = (key: "x" | "y"): HTMLInputElement => {
        const f = make("input", { inputmode: "decimal", autocomplete: "off", maxlength: "12", "aria-label": `${name} ${key}, mm` });
        f.addEventListener("input", () => {
          const p = this.points[i]!;
          const mm = number(f.value);
          if (mm === null) delete p[key];
          else p[key] = mm;
          this.pointsChanged();
        });
        this.fields.push(f);
        return f;
      };
      return make("tr", {}, make("th", { scope: "row" }, name), make("td", {}, field("x")), make("td", {}, field("y")));
    });
    return make("table", {}, make("thead", {}, make("tr", {}, make("td"), make("th", { scope: "col" }, "x"), make("th", { scope: "col" }, "y"))), make("tbody", {}, ...rows));
  }

  /** The four points by their sides and a diagonal. */
  private tape(): HTMLElement {
    const sides = ["AB", "BC", "CD", "DA", "AC"] as const;
    const fields = sides.map((s) => make("input", { inputmode: "decimal", autocomplete: "off", maxlength: "12", "aria-label": `${s}, mm` }));
    const told = make("p", { role: "status" });
    const work = button(say("script.mark-work-out"), () => {
      const [AB = 0, BC = 0, CD = 0, DA = 0, AC = 0] = fields.map((f) => number(f.value) ?? 0);
      const four = corners({ AB, BC, CD, DA, AC });
      told.textContent = four ? say("script.mark-other-diagonal", { length: `${numbers.plain(otherDiagonal(four), 0)} mm` }) : say("script.mark-no-triangle");
      four?.forEach((c, i) => Object.assign(this.points[i]!, { x: Math.round(c.x * 10) / 10, y: Math.round(c.y * 10) / 10 }));
      if (four) this.pointsChanged();
    });
    return make("fieldset", { class: "mark-tape" }, make("legend", {}, say("script.mark-by-tape")), ...sides.map((s, i) => make("label", {}, s, fields[i]!)), work, told);
  }

  private pointsChanged(): void {
    this.known.value = writePoints(this.points);
    this.fromPoints();
  }

  /** Makes the map anew, and says how far it can be trusted. */
  private fromPoints(): void {
    this.points.forEach((p, i) => {
      for (const [k, key] of (["x", "y"] as const).entries()) {
        const f = this.fields[2 * i + k]!;
        if (f !== document.activeElement) f.value = p[key] === undefined ? "" : String(p[key]);
      }
    });
    const four = this.points.slice(0, 4);
    let words = "";
    this.stage.lay(null);
    if (four.every(isKnown)) {
      const photo = photoOf(this.points.filter(isKnown));
      if ("fault" in photo) {
        words = say({ "in-line": "script.mark-in-line", order: "script.mark-order", mirrored: "script.mark-mirrored" }[photo.fault], { points: photo.points.join(", ") });
      } else {
        this.stage.lay(photo);
        const off = photo.doubt();
        const step = mm(photo.coarsest() / this.stage.perPixel);
        if (this.stage.hasPicture) words = off === null ? say("script.mark-no-fifth", { step }) : say("script.mark-off", { off: mm(off), step });
      }
    }
    this.trust.textContent = words;
    this.paint();
  }

  // Tools and taps.

  private take(t: Tool): void {
    if (t !== this.tool) this.finish();
    this.tool = t;
    this.held = null;
    this.guide();
    this.paint();
  }

  /** Says what is to be done with the tool. */
  private guide(): void {
    const t = this.tool;
    if (t === "known") {
      const next = this.points.find((p) => p.u === undefined);
      this.tell(next ? say("script.mark-tap-known", { point: next.name }) : say("script.mark-all-known"));
    } else if (t === "move") {
      this.tell(this.held ? say("script.mark-put") : say("script.mark-pick"));
    } else if (!this.sketch.mayBegin(t)) {
      this.tell(say("script.mark-one-outline"));
    } else {
      this.tell(say(isLine(t) ? "script.mark-tap-line" : "script.mark-tap-area", { what: called[t] }));
    }
  }

  private tap(at: Spot): void {
    if (this.tool === "known") return this.tapKnown(at);
    const p = this.stage.place(at);
    if (!p) return this.tell(say("script.mark-first-known"));
    if (this.tool === "move") return this.tapMove(at, p);
    const what = this.tool;
    if (!this.sketch.mayBegin(what)) return this.tell(say("script.mark-one-outline"));
    if (this.sketch.closesAt((q) => this.near(q, at, this.reach()))) return this.finish();
    this.sketch.add(what, p, what === "outline" ? "" : this.fresh(what));
    this.changed();
    this.tell(`${called[what]}: ${numbers.place(p.x)}, ${numbers.place(p.y)}`);
  }

  private tapKnown(at: Spot): void {
    if (!this.stage.hasPicture) return this.tell(say("script.mark-choose"));
    const pixel = this.stage.pixel(at);
    const away = (p: Point): number => Math.hypot((p.u ?? Infinity) - pixel.u, (p.v ?? Infinity) - pixel.v);
    const next = this.points.find((p) => p.u === undefined) ?? this.points.reduce((a, b) => (away(b) < away(a) ? b : a));
    Object.assign(next, pixel);
    this.pointsChanged();
    this.guide();
  }

  private tapMove(at: Spot, to: Place): void {
    if (this.held) {
      this.sketch.move(this.held.shape, this.held.point, to);
      this.held = null;
      this.changed();
      return this.guide();
    }
    let least = grab;
    this.sketch.list.shapes.forEach((s, shape) =>
      s.points.forEach((p, point) => {
        const q = this.stage.spot(p);
        const d = q ? Math.hypot(q.x - at.x, q.y - at.y) : Infinity;
        if (d < least) [least, this.held] = [d, { shape, point }];
      }),
    );
    this.paint();
    this.tell(this.held ? say("script.mark-put") : say("script.mark-none-near"));
  }

  /** How near a tap must be to the first point to close the shape: a finger's breadth, and less where the shape itself is small. */
  private reach(): number {
    const spots = (this.sketch.open?.points ?? []).map((p) => this.stage.spot(p)).filter((s) => s !== null);
    const [xs, ys] = [spots.map((s) => s.x), spots.map((s) => s.y)];
    return Math.min(grab, 0.5 * Math.hypot(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)));
  }

  private near(p: Place, at: Spot, within: number): boolean {
    const q = this.stage.spot(p);
    return q !== null && Math.hypot(q.x - at.x, q.y - at.y) < within;
  }

  /** A name that no shape has yet. */
  private fresh(what: Kind): string {
    const taken = new Set(this.sketch.list.shapes.filter((s) => s.what === what && s !== this.sketch.open).map((s) => s.name));
    let n = 1;
    while (taken.has(`${called[what]} ${n}`)) n++;
    return `${called[what]} ${n}`;
  }

  private finish(): void {
    if (!this.sketch.open) return;
    this.sketch.finish();
    this.changed();
    this.guide();
  }

  private undo(): void {
    if (!this.sketch.undo()) return;
    this.held = null;
    this.changed();
    this.guide();
  }

  private key(e: KeyboardEvent): void {
    const s = this.stage;
    const by = e.shiftKey ? 1 : 10;
    const way: Record<string, [number, number]> = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] };
    const move = way[e.key];
    if (move) {
      const from = s.cross ?? { x: s.width / 2 - move[0], y: s.height / 2 - move[1] };
      s.cross = { x: Math.min(s.width, Math.max(0, from.x + move[0])), y: Math.min(s.height, Math.max(0, from.y + move[1])) };
      const p = s.place(s.cross);
      if (p && this.tool !== "known") this.tell(`${numbers.place(p.x)}, ${numbers.place(p.y)}`);
      this.paint();
    } else if (e.key === "Enter" && s.cross) this.tap(s.cross);
    else if (e.key === "Backspace") this.undo();
    else if (e.key === "Escape") this.finish();
    else return;
    e.preventDefault();
  }

  // The list in the form.

  /** Takes what was typed; what cannot be drawn stays as it is, and nothing is drawn over it. */
  private fromList(): void {
    const list = read(this.slab.value);
    for (const b of [...this.tools.values(), this.back, this.end]) b.disabled = list === null && b !== this.knownTool;
    if (!list) {
      this.tell(say("script.mark-other-form"));
      return;
    }
    this.sketch.load(list);
    this.stage.hold(list.shapes);
    this.paint();
    this.listed();
  }

  /** Writes what is drawn into the form. */
  private changed(): void {
    this.slab.value = write(this.sketch.list);
    this.paint();
    this.listed();
  }

  private listed(): void {
    this.shapes.replaceChildren(
      ...this.sketch.list.shapes.map((s, i) => {
        const off = make("input", { inputmode: "decimal", autocomplete: "off", maxlength: "8", value: s.clearance });
        off.addEventListener("change", () => {
          this.sketch.keepOff(i, number(off.value) === null ? "" : off.value.trim());
          this.changed();
        });
        const what = s.name || called[s.what];
        const away = button(say("script.mark-remove"), () => {
          this.sketch.remove(i);
          this.changed();
          this.guide();
        });
        away.setAttribute("aria-label", `${say("script.mark-remove")}: ${what}`);
        const row = make("li", {}, make("span", {}, say("script.mark-shape", { what, n: s.points.length })));
        if (s.what !== "outline") row.append(make("label", {}, say("script.mark-keep-off"), off));
        row.append(away);
        return row;
      }),
    );
  }

  private paint(): void {
    const { list, open } = this.sketch;
    const held = this.held && (list.shapes[this.held.shape]?.points[this.held.point] ?? null);
    this.stage.paint(list.shapes, open, this.points, held);
    for (const [t, b] of this.tools) b.setAttribute("aria-pressed", String(t === this.tool));
    if (read(this.slab.value)) {
      this.back.disabled = !this.sketch.canUndo;
      this.end.disabled = open === null;
    }
  }

  private tell(words: string): void {
    this.says.textContent = words;
  }
}

/** Puts a file that is chosen in place of a list into the list, so that it is drawn, and what is drawn is sent. */
function fromFile(list: HTMLTextAreaElement): void {
  const file = list.form?.querySelector<HTMLInputElement>(`input[name="${list.name}-file"]`);
  file?.addEventListener("change", () => {
    const chosen = file.files?.[0];
    if (!chosen || chosen.size > mostBytes) return; // the mill says that it is too large
    void chosen.text().then((text) => {
      list.value = text;
      file.value = "";
      list.dispatchEvent(new Event("input"));
    });
  });
}

function button(words: string, press: () => void): HTMLButtonElement {
  const b = make("button", { type: "button" }, words);
  b.addEventListener("click", press);
  return b;
}

/** A number as it is typed, with a point or a comma; null when it is none. */
function number(typed: string): number | null {
  const plain = typed.trim().replace(",", ".");
  return plain !== "" && Number.isFinite(Number(plain)) ? Number(plain) : null;
}

/** A length on the slab to a tenth of a mm, in the reader's units. */
const mm = (x: number): string => (numbers.units === "mm" ? `${numbers.plain(x, 1)} mm` : `${numbers.plain(x / 25.4, 2)} in`);
