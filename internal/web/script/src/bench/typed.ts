// A number as it is typed: by a gauge, by a hand, or on the pad of the screen. Pure.

import { inMM, type Unit } from "./plan";

const number = /^\s*([+\-−]?)(\d*)(?:[.,](\d*))?\s*(mm|um|µm|μm|in|"|thou)?\s*$/;
const units: Record<string, Unit> = { mm: "mm", um: "µm", "µm": "µm", "μm": "µm", in: "in", '"': "in", thou: "thou" };

/** What a text says. */
export interface Said {
  mm: number;
  decimals: number; // as many as were typed
  unit?: Unit; // when it names one
}

/** The length that a text says, in the gauge's unit when it names none; null when it is no number. */
export function readNumber(text: string, unit: Unit): Said | null {
  const m = number.exec(text.toLowerCase());
  const [sign, whole, part] = [m?.[1] ?? "", m?.[2] ?? "", m?.[3] ?? ""];
  if (!m || whole + part === "") return null;
  const x = Number(`${whole === "" ? "0" : whole}.${part === "" ? "0" : part}`);
  const named = m[4] ? units[m[4]] : undefined;
  return { mm: inMM(sign === "-" || sign === "−" ? -x : x, named ?? unit), decimals: part.length, ...(named ? { unit: named } : {}) };
}

const longest = 16;

/** What has been typed so far. */
export class Typed {
  text = "";

  /** Takes a key; says whether it was one for a number. */
  key(key: string): boolean {
    if (key === "Backspace") this.text = this.text.slice(0, -1);
    else if (key === "±") this.text = this.text.startsWith("-") ? this.text.slice(1) : `-${this.text}`;
    else if (/^[0-9]$/.test(key)) this.add(key);
    else if (key === "." || key === ",") this.add(/[.,]/.test(this.text) ? "" : key);
    else if (key === "-" || key === "−") this.text = this.text === "" || this.text === "+" ? "-" : this.text;
    else if (key === "+") this.text = this.text === "" ? "+" : this.text;
    else if (/^[a-zA-Zµμ" ]$/.test(key) && /\d/.test(this.text)) this.add(key); // a gauge may send its unit
    else return false;
    return true;
  }

  private add(key: string): void {
    if (this.text.length < longest) this.text += key;
  }

  clear(): void {
    this.text = "";
  }
}
