// What news means for a region, and how long to wait before asking again. Pure.

/** Whether a region that follows these things is touched by the news. */
export function touches(follows: string, news: ReadonlySet<string>): boolean {
  const things = follows.split(/\s+/).filter((t) => t !== "");
  if (things.length === 0 || news.size === 0) return false;
  return news.has("*") || things.some((t) => t === "*" || news.has(t) || (t.endsWith(":*") && [...news].some((n) => n.startsWith(t.slice(0, -1)))));
}

/** Waits that double, with a share of chance so that the tablets of a mill do not all come at once. */
export class Backoff {
  private wait = 0;

  constructor(
    private readonly first = 1_000,
    private readonly longest = 30_000,
  ) {}

  /** The next wait in ms; chance is from 0 to 1. */
  next(chance: number): number {
    this.wait = this.wait === 0 ? this.first : Math.min(this.longest, this.wait * 2);
    return this.wait * (0.5 + chance / 2);
  }

  reset(): void {
    this.wait = 0;
  }
}
