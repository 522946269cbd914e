// How long a button must be held for a decision that cannot be taken back, and what stops it. Pure: times come in.

/** 1.2 s: longer than any ghost tap of a wet screen, short enough for a cold hand. Common practice, no source. */
export const needed = 1200;

export class Hold {
  private began: number | null = null;

  /** A press begins; a second one while it is held stops it. */
  press(at: number): void {
    this.began = this.began === null ? at : null;
  }

  /** A finger was lifted or slipped off. */
  stop(): void {
    this.began = null;
  }

  get held(): boolean {
    return this.began !== null;
  }

  /** From 0 to 1; at 1 it is decided. */
  progress(at: number): number {
    return this.began === null ? 0 : Math.max(0, Math.min(1, (at - this.began) / needed));
  }
}

/** Whether what was read names the code: as it is, or as the end of a label's address. */
export function names(read: string, code: string): boolean {
  const plain = (s: string): string => s.trim().toLocaleUpperCase("en");
  const tail = read.trim().replace(/[?#].*$/, "").replace(/\/+$/, "").split("/").pop() ?? "";
  let decoded = tail;
  try {
    decoded = decodeURIComponent(tail);
  } catch {
    // not an address
  }
  return code !== "" && (plain(read) === plain(code) || plain(decoded) === plain(code));
}
