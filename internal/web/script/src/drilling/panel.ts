// The panel at the drill: the next feature without numbers, and what was measured of it, typed by a hand or by a gauge.

import { draw, find, make, numbers, typesInto } from "../base/page";
import { say } from "../base/words";
import { Typed, readNumber } from "../bench/typed";
import { longestGap } from "../every/burst";
import { claim } from "../every/scan";
import { ask } from "../marking/answer";
import { cell, List, type Column, type Drawn } from "./list";

interface Bed {
  size_mm: [number, number];
  joints_mm: number[];
  features: Drawn[];
  list: string;
}

type Step = "x" | "y" | "diameter" | "pin";

const unit = numbers.units === "inch" ? "in" : "mm";
const longestList = 4 << 20; // bytes, as the mill takes it
const pause = 600; // ms of quiet after which a drawing that is typed is read
const asked: Record<Step, string> = { x: say("script.drill-x"), y: say("script.drill-y"), diameter: say("script.drill-diameter"), pin: say("script.drill-pin") };

export class Panel {
  private bed: Bed | null = null;
  private list: List | null = null;
  private at = -1; // the feature; -1: all have numbers
  private step: Step = "x";
  private gauged = ""; // what the pin said while its diameter is asked for
  private changed = false;
  private readonly typed = new Typed();
  private lastKey = -Infinity;
  private waits = 0;
  private reads = 0;
  private readonly head = make("h2");
  private readonly lies = make("p", { class: "drill-lies" });
  private readonly plan = make("div", { class: "drill-plan" });
  private readonly asks = make("p", { class: "drill-asks", id: "drill-asks", "aria-live": "polite" });
  private readonly now = make("output", { class: "drill-now", "aria-labelledby": "drill-asks" });
  private readonly wrong = make("p", { class: "drill-wrong", role: "alert" });
  private readonly left = make("p", { class: "drill-left", role: "status" });
  private readonly desk = make("div", { class: "drill-desk" });
  private readonly again = press(say("script.drill-back"), () => this.back());
  private readonly file: HTMLInputElement | null;

  constructor(
    private readonly box: HTMLElement,
    private readonly form: HTMLFormElement,
    spec: HTMLTextAreaElement,
    private readonly area: HTMLTextAreaElement,
  ) {
    const act = (label: string, does: () => void): HTMLButtonElement => press(label, does);
    this.desk.append(
      make("div", { class: "drill-type" }, this.asks, this.now, this.wrong, this.pad(),
        make("div", { class: "drill-acts" }, act(say("script.drill-back"), () => this.back()), act(say("script.drill-skip"), () => this.skip()), act(say("script.drill-next"), () => this.leave()),
          act(say("script.drill-goes"), () => this.gauge("go")), act(say("script.drill-not"), () => this.gauge("no-go")))),
      this.plan);
    box.replaceChildren(this.head, this.left, this.again, this.lies, this.desk);
    addEventListener("keydown", (e) => this.key(e));
    claim((text) => this.at >= 0 && readNumber(text, unit) !== null); // the gauge's numbers are no codes
    area.addEventListener("input", () => this.takeUp());
    this.file = find<HTMLInputElement>("input[name=measured-file]", form);
    this.file?.addEventListener("change", () => void this.load());
    const drawn = (): void => {
      clearTimeout(this.waits);
      this.waits = window.setTimeout(() => void this.fetch(), pause);
    };
    spec.addEventListener("input", drawn);
    find("input[name=spec-file]", form)?.addEventListener("change", drawn);
    if (spec.value.trim() !== "") void this.fetch();
  }

  /** Asks the mill what the pattern file draws. */
  private async fetch(): Promise<void> {
    const mine = ++this.reads;
    const all = new FormData(this.form);
    const data = new FormData();
    for (const name of ["spec", "spec-file"]) {
      const v = all.get(name);
      if (v !== null && !(v instanceof File && v.size === 0)) data.set(name, v);
    }
    data.set("as", "json");
    try {
      const got = await fetch(this.form.action, { method: "POST", body: data, credentials: "same-origin", headers: { "Slatewright-By-Itself": "yes" } });
      const bed = got.ok ? ((await got.json()) as Bed) : null; // a drawing that cannot be read draws nothing: the form says why
      if (mine !== this.reads) return;
      this.bed = bed;
    } catch {
      return; // as it was
    }
    await this.load();
    this.takeUp();
  }

  /** Takes a file into the list, so that what is entered comes to it. */
  private async load(): Promise<void> {
    const file = this.file?.files?.[0];
    if (!file || !this.file || !this.bed || file.size > longestList) return;
    this.area.value = await file.text();
    this.file.value = "";
    this.takeUp();
  }

  /** Takes up what stands in the list, and goes to the first feature without numbers. */
  private takeUp(): void {
    this.box.hidden = this.bed === null;
    if (!this.bed) {
      this.at = -1;
      return;
    }
    const text = this.area.value.trim();
    this.list = List.read(text === "" ? this.bed.list : this.area.value);
    this.go(0);
  }

  /** Goes to the next feature without numbers from a place on. */
  private go(from: number): void {
    this.at = this.list && this.bed ? this.list.next(this.bed.features, from) : -1;
    this.to("x");
  }

  private to(step: Step): void {
    this.step = step;
    this.typed.clear();
    this.wrong.textContent = "";
    this.show();
  }

  private get steps(): Step[] {
    const f = this.feature;
    return f && f.diameter_mm > 0 && this.list?.wantsDiameter ? ["x", "y", "diameter"] : ["x", "y"];
  }

  private get feature(): Drawn | undefined {
    return this.bed?.features[this.at];
  }

  private write(column: Column, to: string): void {
    if (!this.list || !this.feature) return;
    this.list.set(this.feature.feature, column, to);
    this.changed = true;
    this.area.value = this.list.text();
  }

  /** Takes the number that was typed; without one, what already stands there is kept. */
  private take(): void {
    if (!this.list || !this.feature) return;
    if (this.typed.text === "") {
      if (this.step !== "pin" && this.list.get(this.feature.feature, this.step) !== "") this.onward();
      return;
    }
    const to = cell(this.typed.text, unit);
    this.typed.clear();
    if (to === null || (to.startsWith("-") || Number.parseFloat(to) === 0) && (this.step === "diameter" || this.step === "pin")) {
      this.show();
      this.wrong.textContent = say("script.drill-no-number");
      return;
    }
    if (this.step === "pin") {
      this.list = this.list.setPin(to);
      this.gauge(this.gauged);
      return;
    }
    this.write(this.step, to);
    this.onward();
  }

  private onward(): void {
    const steps = this.steps;
    const next = steps[steps.indexOf(this.step) + 1];
    if (next) this.to(next);
    else this.leave();
  }

  /** This number was not measured: at x or y the whole place was not. */
  private skip(): void {
    if (this.step === "x" || this.step === "y") this.noPlace();
    if (this.step !== "pin" && this.step !== "diameter" && this.steps.includes("diameter")) this.to("diameter");
    else this.leave();
  }

  /** Half a place is none. */
  private noPlace(): void {
    if (!this.feature || !this.list?.half(this.feature.feature)) return;
    this.write("x", "");
    this.write("y", "");
  }

  /** Goes on to the next feature; the answer follows what was entered. */
  private leave(): void {
    this.noPlace();
    if (this.changed && this.feature && !this.list?.open(this.feature.feature)) {
      this.changed = false;
      void this.answer();
    }
    this.go(this.at + 1);
  }

  private async answer(): Promise<void> {
    const answered = await ask(this.form, new FormData(this.form), true, say("script.drill-failed"));
    if (!answered && this.form.previousElementSibling?.getAttribute("role") === "alert") this.wrong.textContent = say("script.drill-refused");
  }

  private back(): void {
    if (this.typed.text !== "" || this.step === "pin") return this.to(this.step === "pin" ? "x" : this.step);
    const before = this.steps[this.steps.indexOf(this.step) - 1];
    if (before) return this.to(before);
    if (!this.bed) return;
    this.at = (this.at < 0 ? this.bed.features.length : this.at + this.bed.features.length) - 1;
    this.at %= this.bed.features.length;
    this.to(this.steps.at(-1)!);
  }

  /** A gauge with pins in the drawn places goes in here, or does not. */
  private gauge(word: string): void {
    if (!this.list || !this.feature) return;
    if (!this.list.pin) {
      this.gauged = word;
      return this.to("pin");
    }
    this.write("gauge", word);
    this.leave();
  }

  private key(e: KeyboardEvent): void {
    if (this.at < 0 || e.ctrlKey || e.altKey || e.metaKey || e.isComposing || typesInto(e.target) || e.target instanceof HTMLSelectElement) return;
    const machine = this.typed.text !== "" && e.timeStamp - this.lastKey <= longestGap; // a gauge is typing, blanks too
    this.lastKey = e.timeStamp;
    const pressing = e.target instanceof HTMLElement && e.target.matches("button, a, summary");
    if (pressing && (e.key === " " && !machine || e.key === "Enter" && this.typed.text === "")) return; // it presses the button
    if (e.key === "Enter") this.take();
    else if (e.key === "Backspace" && this.typed.text === "") this.back();
    else if (this.typed.key(e.key)) this.typing();
    else return;
    e.preventDefault();
  }

  private typing(): void {
    this.wrong.textContent = "";
    this.show();
  }

  private pad(): HTMLElement {
    const key = (k: string, label = k, said = k): HTMLButtonElement => press(label, () => {
      this.typed.key(k);
      this.typing();
    }, "", said);
    const point = numbers.plain(0.5, 1).charAt(1);
    return make("div", { class: "drill-pad" }, key("7"), key("8"), key("9"), key("Backspace", "⌫", say("script.delete")), key("4"), key("5"), key("6"), key("±", "±", say("script.sign")),
      key("1"), key("2"), key("3"), key(".", point, say("script.point-mark")), key("0"), press(say("script.drill-take"), () => this.take(), "drill-take"));
  }

  /** A length as it is drawn. */
  private drawn(mm: number): string {
    return unit === "mm" ? `${numbers.plain(mm, 2)} mm` : `${numbers.plain(mm / 25.4, 3)} in`;
  }

  private show(): void {
    const [f, { list, bed }] = [this.feature, this];
    const open = list && bed ? bed.features.filter((d) => list.open(d.feature)).length : 0;
    this.left.textContent = !list ? say("script.drill-other") : open === 0 ? say("script.drill-done") : say("script.drill-left", { n: open });
    this.again.hidden = !list || !!f;
    this.box.toggleAttribute("data-all", !this.again.hidden); // then the answer is what is looked at
    this.desk.hidden = !f;
    this.head.hidden = this.lies.hidden = !f;
    if (!f || !bed || !list) return;
    this.head.textContent = f.feature;
    this.lies.textContent = f.says;
    const nominal = { x: f.x_mm, y: f.y_mm, diameter: f.diameter_mm, pin: null }[this.step];
    this.asks.replaceChildren(make("strong", {}, asked[this.step]), ...(nominal === null ? [] : [" ", make("span", {}, say("script.drill-drawn", { value: this.drawn(nominal) }))]));
    const stands = this.step === "pin" ? "" : list.get(f.feature, this.step);
    this.now.textContent = (this.typed.text || stands || "–").replace("-", "−");
    this.now.dataset["state"] = this.typed.text !== "" ? "typing" : "taken";
    this.picture(bed, list, f);
  }

  /** The bed from above, as the answer's picture has it: the foot to the right, y up. */
  private picture({ size_mm: [sx, sy], joints_mm, features }: Bed, list: List, here: Drawn): void {
    const svg = draw("svg", { viewBox: `${-sx / 2 - 90} ${-sy / 2 - 90} ${sx + 180} ${sy + 180}`, role: "img", "aria-label": say("script.drill-plan", { feature: here.feature }) },
      draw("rect", { x: -sx / 2, y: -sy / 2, width: sx, height: sy, class: "drill-stone" }), ...joints_mm.map((x) => draw("path", { d: `M${x} ${-sy / 2}V${sy / 2}`, class: "drill-joint" })));
    for (const f of features) svg.append(draw("circle", { cx: f.x_mm, cy: -f.y_mm, r: 15, class: list.open(f.feature) ? "drill-open" : "drill-measured" }));
    svg.append(draw("path", { d: `M${-sx / 2 - 90} ${-here.y_mm}H${sx / 2 + 90}M${here.x_mm} ${-sy / 2 - 90}V${sy / 2 + 90}`, class: "drill-cross" }), draw("circle", { cx: here.x_mm, cy: -here.y_mm, r: 55, class: "drill-here" }));
    this.plan.replaceChildren(svg);
  }
}

function press(label: string, does: () => void, of = "", said = label): HTMLButtonElement {
  const b = make("button", { type: "button", class: of.trim(), "aria-label": said }, label);
  b.addEventListener("click", does);
  return b;
}
