// SHA-256 (FIPS 180-4), for naming a file by its content where the browser's own is not to be had: on a tablet that reaches the
// mill without a certificate it trusts.

const k = new Uint32Array(64);
const start = new Uint32Array(8);

// The constants are the first 32 bits of the fractional parts of the cube roots of the first 64 primes, and of the square roots
// of the first 8 (FIPS 180-4, sections 4.2.2 and 5.3.3).
{
  const fraction = (x: number): number => ((x - Math.floor(x)) * 2 ** 32) | 0;
  let found = 0;
  for (let n = 2; found < 64; n++) {
    let prime = true;
    for (let d = 2; d * d <= n; d++) if (n % d === 0) prime = false;
    if (!prime) continue;
    if (found < 8) start[found] = fraction(Math.sqrt(n));
    k[found++] = fraction(Math.cbrt(n));
  }
}

const turn = (x: number, n: number): number => (x >>> n) | (x << (32 - n));

/** The digest of some bytes, in hexadecimal. */
export function sha256(data: Uint8Array): string {
  const h = start.slice();
  const whole = data.length - (data.length % 64);
  const view = new DataView(data.buffer, data.byteOffset, data.byteLength);
  const w = new Uint32Array(64);
  for (let at = 0; at < whole; at += 64) block(h, view, at, w);
  const rest = data.length - whole;
  const tail = new Uint8Array(rest < 56 ? 64 : 128);
  tail.set(data.subarray(whole));
  tail[rest] = 0x80;
  const end = new DataView(tail.buffer);
  end.setUint32(tail.length - 8, Math.floor(data.length / 2 ** 29));
  end.setUint32(tail.length - 4, (data.length << 3) >>> 0);
  for (let at = 0; at < tail.length; at += 64) block(h, end, at, w);
  return [...h].map((x) => x.toString(16).padStart(8, "0")).join("");
}

function block(h: Uint32Array, data: DataView, at: number, w: Uint32Array): void {
  for (let t = 0; t < 16; t++) w[t] = data.getUint32(at + 4 * t);
  for (let t = 16; t < 64; t++) {
    const a = w[t - 15]!;
    const b = w[t - 2]!;
    w[t] = (w[t - 16]! + (turn(a, 7) ^ turn(a, 18) ^ (a >>> 3)) + w[t - 7]! + (turn(b, 17) ^ turn(b, 19) ^ (b >>> 10))) | 0;
  }
  let [a, b, c, d, e, f, g, i] = h as unknown as [number, number, number, number, number, number, number, number];
  for (let t = 0; t < 64; t++) {
    const one = (i + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + k[t]! + w[t]!) | 0;
    const two = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [i, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
  }
  [a, b, c, d, e, f, g, i].forEach((x, n) => (h[n] = (h[n]! + x) | 0));
}
