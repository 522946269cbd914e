// Numbers and lengths as a person reads them: by language, in mm and µm or in inch and thou.

export type Units = "mm" | "inch";

const perThou = 25.4; // µm in a thousandth of an inch, exactly

export class Numbers {
  constructor(
    readonly language: string,
    readonly units: Units,
  ) {}

  /** A number with so many decimals and a real minus sign; no negative zero. */
  plain(x: number, decimals: number): string {
    const rounded = Number(x.toFixed(decimals));
    return new Intl.NumberFormat(this.language, { minimumFractionDigits: decimals, maximumFractionDigits: decimals, useGrouping: false })
      .format(rounded === 0 ? 0 : rounded)
      .replace("-", "−");
  }

  /** A height or a small length, given in µm. */
  small(um: number): string {
    return this.units === "mm" ? `${this.plain(um, 0)} µm` : `${this.plain(um / perThou, 1)} thou`;
  }

  /** A place on the stone, given in mm. */
  place(mm: number): string {
    return this.units === "mm" ? `${this.plain(mm, 0)} mm` : `${this.plain(mm / 25.4, 1)} in`;
  }

  /** The unit of heights alone, and a height in it without the unit. */
  get heightUnit(): string {
    return this.units === "mm" ? "µm" : "thou";
  }

  height(um: number): number {
    return this.units === "mm" ? um : um / perThou;
  }

  /** µm from a number in the unit of heights. */
  um(height: number): number {
    return this.units === "mm" ? height : height * perThou;
  }
}
