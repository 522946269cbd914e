// Ids of entries, made where the act is done: 48 bits of time and 80 of chance, in 26 letters and digits (ULID). Two ids of one
// tablet are never equal and sort in the order in which they were made, even when its clock is set back.

const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const chanceBytes = 10;

export class Ids {
  private time = 0;
  private readonly chance = new Uint8Array(chanceBytes);

  constructor(
    private readonly now: () => number = () => Date.now(),
    private readonly fill: (b: Uint8Array<ArrayBuffer>) => void = (b) => crypto.getRandomValues(b),
  ) {}

  /** Makes the next id. */
  next(): string {
    const now = this.now();
    if (now > this.time) {
      this.time = now;
      this.fill(this.chance);
      this.chance[0]! &= 0x7f; // leaves room to count up
    } else {
      this.count();
    }
    return encodeTime(this.time) + encodeChance(this.chance);
  }

  /** Later ids sort after this one, which another page of this tablet made. */
  after(id: string): void {
    const time = decodeTime(id);
    if (time <= this.time) return;
    this.time = time;
    this.fill(this.chance);
    this.chance[0]! |= 0x80; // above every first id of that millisecond
  }

  private count(): void {
    for (let i = chanceBytes - 1; i >= 0; i--) {
      this.chance[i]! = (this.chance[i]! + 1) & 0xff;
      if (this.chance[i] !== 0) return;
    }
    this.time++; // 2^79 ids in one millisecond
  }
}

function encodeTime(ms: number): string {
  let out = "";
  for (let i = 0; i < 10; i++) {
    out = letters[ms % 32]! + out;
    ms = Math.floor(ms / 32);
  }
  return out;
}

function decodeTime(id: string): number {
  let ms = 0;
  for (const c of id.slice(0, 10)) ms = ms * 32 + Math.max(0, letters.indexOf(c));
  return ms;
}

function encodeChance(bytes: Uint8Array): string {
  let out = "";
  let held = 0;
  let bits = 0;
  for (const b of bytes) {
    held = (held << 8) | b;
    bits += 8;
    while (bits >= 5) {
      bits -= 5;
      out += letters[(held >> bits) & 31]!;
    }
    held &= (1 << bits) - 1;
  }
  return out;
}
