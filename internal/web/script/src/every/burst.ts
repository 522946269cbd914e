// Tells a code reader, which types like a keyboard, from a person who types. Pure: keys and times come in.

/** A reader's keys come 20 to 30 ms apart at the slowest, quick people's 80 and more: the mean decides, for a busy tablet or a
 * radio may hold up one key. Common practice, no source. */
export const longestMean = 50;
export const longestGap = 150;

/** A burst shorter than this is no code. */
export const shortest = 4;

export class Burst {
  private text = "";
  private began = 0;
  private last = -Infinity;

  /** Takes one key. When it is the Enter that ends a burst, what was typed comes back. */
  key(key: string, at: number): string | null {
    if (at - this.last > longestGap) this.text = "";
    this.last = at;
    if (key === "Enter" || key === "Tab") {
      const text = this.text;
      this.text = "";
      const mean = (at - this.began) / Math.max(1, [...text].length);
      return key === "Enter" && [...text].length >= shortest && mean <= longestMean ? text : null;
    }
    if ([...key].length !== 1) return null; // Shift and the like
    if (this.text === "") this.began = at;
    this.text += key;
    return null;
  }

  /** What has been typed without a pause. */
  get typed(): string {
    return this.text;
  }
}
