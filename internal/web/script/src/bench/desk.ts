// The desk at the bench: one number at a time, from a gauge, a hand or a foot.

import { find, make, numbers, person, typesInto } from "../base/page";
import { say } from "../base/words";
import { longestGap } from "../every/burst";
import { claim } from "../every/scan";
import { digestOf, keep } from "../queue/queue";
import type { Fate } from "../queue/send";
import { load, save, drop } from "./draft";
import { readAct, readingsFile, soFar, type Beside } from "./file";
import { Picture } from "./picture";
import { asGauge, type Plan } from "./plan";
import { Sound } from "./sound";
import { Typed, readNumber } from "./typed";
import { Verdict } from "./verdict";
import { Walk, type Doubt } from "./walk";

const shownRows = 12;

export class Desk {
  private readonly walk: Walk;
  private readonly typed = new Typed();
  private readonly sound = new Sound();
  private readonly verdict: Verdict;
  private readonly picture: Picture | null;
  private doubted: number | null = null; // a number that waits for the same key once more
  private ending = false;
  private lastKey = -Infinity;

  constructor(
    private readonly box: HTMLElement,
    private readonly plan: Plan,
  ) {
    this.walk = new Walk(plan);
    this.verdict = new Verdict(plan.so_far, this.part("verdict"), () => this.show());
    const place = this.part("picture");
    this.picture = place && new Picture(place, plan, say("script.picture", { piece: plan.piece, count: plan.points.length }), (i) => this.go(i));
  }

  private part<E extends HTMLElement = HTMLElement>(name: string): E | null {
    return find<E>(`[data-bench-part="${name}"]`, this.box);
  }

  private get draftKey(): string {
    return `${person()}/${this.plan.piece}/${this.plan.face}`;
  }

  /** Begins, where a draft ended if there is one. */
  async begin(): Promise<void> {
    if (this.walk.resume(await load(this.draftKey))) {
      this.tell(say("script.resumed", { read: this.walk.read }));
      this.verdict.ask(() => soFar(this.plan, this.walk.values));
    }
    this.pad();
    this.buttons();
    addEventListener("keydown", (e) => this.key(e));
    claim((text) => readNumber(text, this.plan.gauge.unit) !== null); // the gauge's numbers are no codes
    const desk = this.part("desk");
    if (desk) desk.hidden = false;
    this.show();
  }

  private key(e: KeyboardEvent): void {
    if (e.ctrlKey || e.altKey || e.metaKey || e.isComposing) return;
    const machine = this.typed.text !== "" && e.timeStamp - this.lastKey <= longestGap; // a gauge is typing, blanks too
    this.lastKey = e.timeStamp;
    const keys = this.plan.keys ?? {};
    if ((keys.undo ?? []).includes(e.key)) this.handled(e, () => this.undo());
    else if ((keys.next ?? []).includes(e.key)) this.handled(e, () => this.next());
    else if (typesInto(e.target)) return;
    else if (e.key === " " && e.target instanceof HTMLButtonElement && !machine) return; // it presses the button
    else if (e.key === "Enter") {
      if (this.typed.text === "" && this.doubted === null && e.target instanceof HTMLButtonElement) return; // it presses the button
      this.handled(e, () => this.next());
    } else if (e.key === "Backspace" && this.typed.text === "") this.handled(e, () => this.undo());
    else if (this.typed.key(e.key)) this.handled(e, () => this.typing());
  }

  private handled(e: KeyboardEvent, act: () => void): void {
    e.preventDefault();
    if (!e.repeat || e.key === "Backspace") act();
  }

  private typing(): void {
    this.doubted = null;
    this.tell("");
    this.show();
  }

  /** Takes the number that was typed, or the one that was doubted and is meant. */
  private next(): void {
    if (this.ending || this.walk.ended) return;
    if (this.typed.text === "") {
      if (this.doubted !== null) this.take(this.doubted);
      return;
    }
    const text = this.typed.text;
    const said = readNumber(text, this.plan.gauge.unit);
    this.typed.clear();
    if (said === null) {
      this.ask(say("script.no-number"));
      return;
    }
    const doubt = this.walk.doubt(said);
    if (doubt) {
      this.doubted = doubt.is === "range" ? null : said.mm;
      this.ask(this.words(text, said.mm, doubt));
      return;
    }
    this.take(said.mm);
  }

  private take(mm: number): void {
    this.doubted = null;
    this.walk.take(mm);
    this.tell("");
    this.changed(this.walk.ended ? "done" : "taken");
  }

  private ask(text: string): void {
    this.tell(text);
    this.sound.play("asked");
    this.show();
  }

  private words(text: string, mm: number, d: Doubt): string {
    if (d.is === "unit") return say("script.too-fine", { value: text, unit: this.plan.gauge.unit });
    if (d.is === "range") return say("script.out-of-range", { value: this.inGauge(mm), low: this.inGauge(d.low), high: this.inGauge(d.high) });
    return say("script.jumps", { value: this.inGauge(mm), by: this.inGauge(d.by) });
  }

  private undo(): void {
    if (this.typed.text !== "" || this.doubted !== null) {
      this.typed.clear();
      this.doubted = null;
      this.tell("");
      this.show();
      return;
    }
    if (this.walk.undo()) this.changed("back");
  }

  private go(i: number): void {
    this.typed.clear();
    this.doubted = null;
    this.walk.go(i);
    this.changed("back");
  }

  private skip(): void {
    this.typed.clear();
    this.doubted = null;
    this.walk.skip();
    this.changed("back");
  }

  private changed(sign: "taken" | "back" | "done"): void {
    this.sound.play(sign);
    void save(this.draftKey, this.walk.draft());
    this.verdict.ask(() => soFar(this.plan, this.walk.values));
    this.show();
  }

  private tell(text: string): void {
    const place = this.part("problem");
    if (place && place.textContent !== text) place.textContent = text;
  }

  private inGauge(mm: number): string {
    const unit = this.plan.gauge.unit;
    return `${numbers.plain(asGauge(mm, unit), this.plan.gauge.decimals ?? { mm: 3, µm: 0, in: 4, thou: 1 }[unit])} ${unit}`;
  }

  private show(): void {
    const { walk } = this;
    const now = this.part("now");
    const last = walk.latest()[0];
    if (now) {
      now.textContent = this.typed.text !== "" ? this.typed.text.replace("-", "−") : this.doubted !== null ? this.inGauge(this.doubted) : last && last.mm !== null ? this.inGauge(last.mm) : "–";
      now.dataset["state"] = this.typed.text !== "" ? "typing" : this.doubted !== null ? "doubted" : "taken";
    }
    const just = this.part("just-read"); // the number is the last point's until another one is typed
    if (just) just.textContent = now?.dataset["state"] === "taken" && last && last.mm !== null ? say("script.just-read", { n: last.index + 1 }) : "";
    const point = this.part("point");
    if (point) point.textContent = walk.ended ? say("script.all-read", { read: walk.read }) : this.pointWords(walk.at);
    this.picture?.show(walk);
    this.rows();
    const finish = this.part<HTMLButtonElement>("finish");
    if (finish) finish.disabled = this.ending || !walk.mayEnd(this.verdict.enough);
    this.box.toggleAttribute("data-enough", this.verdict.enough);
  }

  private pointWords(i: number): string {
    const p = this.plan.points[i]!;
    const row = p.row ? ` · ${say("script.joint-row")}` : "";
    return say("script.point", { n: i + 1, count: this.plan.points.length, x: numbers.place(p.x_mm), y: numbers.place(p.y_mm) }) + row;
  }

  private rows(): void {
    this.part("read")?.replaceChildren(...this.walk.latest().slice(0, shownRows).map(({ index, point, mm }) =>
      make("tr", {},
        make("th", { scope: "row" }, numbers.plain(index + 1, 0)),
        make("td", {}, numbers.place(point.x_mm)),
        make("td", {}, numbers.place(point.y_mm)),
        make("td", {}, mm === null ? say("script.not-read") : this.inGauge(mm)))));
  }

  private pad(): void {
    const place = this.part("pad");
    if (!place) return;
    const keys = ["7", "8", "9", "4", "5", "6", "1", "2", "3", "±", "0", "."];
    const button = (label: string, said: string, act: () => void): HTMLButtonElement => {
      const b = make("button", { type: "button", "aria-label": said }, label);
      b.addEventListener("click", act);
      return b;
    };
    const typed = keys.map((k) => button(k === "." ? numbers.plain(0.5, 1).charAt(1) : k, k === "±" ? say("script.sign") : k === "." ? say("script.point-mark") : k, () => {
      this.typed.key(k);
      this.typing();
    }));
    const back = button("⌫", say("script.delete"), () => {
      this.typed.key("Backspace");
      this.typing();
    });
    place.classList.add("bench-pad");
    const next = this.part("next");
    place.replaceChildren(...typed, back, ...(next ? [next] : []));
  }

  private buttons(): void {
    const on = (name: string, act: () => void): void => this.part(name)?.addEventListener("click", act);
    on("next", () => this.next());
    on("undo", () => this.undo());
    on("skip", () => this.skip());
    on("finish", () => void this.finish());
    const sound = this.part("sound");
    sound?.setAttribute("aria-pressed", String(!this.sound.quiet));
    on("sound", () => {
      this.sound.toggle();
      sound?.setAttribute("aria-pressed", String(!this.sound.quiet));
      this.sound.play("taken");
    });
  }

  private beside(): Beside {
    const b: Beside = {};
    for (const name of ["top_c", "bottom_c", "humidity_percent"] as const) {
      const text = this.part<HTMLInputElement>(name)?.value.trim().replace(",", ".") ?? "";
      if (text !== "" && Number.isFinite(Number(text))) b[name] = Number(text);
    }
    if (this.part<HTMLInputElement>("wet")?.checked) b.wet = true;
    return b;
  }

  /** Says what became of the readings. What is refused stays on the tablet with its reason. */
  private async told(fate: Fate | { is: "kept" }): Promise<void> {
    await drop(this.draftKey); // before this page is left: the readings must not come twice
    switch (fate.is) {
      case "sent":
        this.tell(say("script.sent"));
        if (this.plan.after) location.assign(this.plan.after);
        return;
      case "conflict":
        return this.tell(say("script.conflict"));
      case "refused":
        return this.tell([say("script.refused"), fate.problem.detail, fate.problem.next].filter(Boolean).join(" · "));
      case "kept":
        return this.tell(say("script.waits-here"));
    }
  }

  /** Makes the file and the act, keeps both on the tablet, and sends them. */
  private async finish(): Promise<void> {
    if (this.ending) return;
    this.ending = true;
    this.show();
    try {
      const beside = this.beside();
      const now = new Date();
      const day = `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, "0")}-${String(now.getDate()).padStart(2, "0")}`;
      const file = new Blob([readingsFile(this.plan, this.walk.values, beside, day)], { type: "text/csv" });
      const says = this.plan.says ?? say("script.reading-of", { piece: this.plan.piece });
      const done = { station: this.plan.station ?? "bench", act: "read", body: readAct(this.plan, await digestOf(file), beside), says, files: [file] };
      this.tell(say("script.kept"));
      await keep(done, now, (fate) => void this.told(fate));
      this.sound.play("done");
    } catch {
      this.ending = false;
      this.tell(say("script.store-full"));
    }
    this.show();
  }
}
