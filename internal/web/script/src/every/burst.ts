// Tells a code reader, which types like a keyboard, from a person who types. Pure: keys and times come in.

/** Longest gap between two keys of a reader, ms: slow readers send one key each 20 to 30 ms, quick people one each 80 or more.
 * Common practice, no source. */
export const longestGap = 50;

/** A burst shorter than this is no code. */
export const shortest = 4;

export class Burst {
  private text = "";
  private last = -Infinity;

  /** Takes one key. When it is the Enter that ends a burst, what was typed comes back. */
  key(key: string, at: number): string | null {
    const gap = at - this.last;
    this.last = at;
    if (key === "Enter" || key === "Tab") {
      const text = this.text;
      this.text = "";
      return key === "Enter" && gap <= longestGap && text.length >= shortest ? text : null;
    }
    if ([...key].length !== 1) {
      if (gap > longestGap) this.text = ""; // Shift and the like, before a burst
      return null;
    }
    this.text = gap <= longestGap ? this.text + key : key;
    return null;
  }

  /** What is being typed at this speed. */
  get typed(): string {
    return this.text;
  }
}
