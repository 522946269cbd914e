// Sounds for eyes that are on the stone: taken, asked again, done.

type Tone = [hertz: number, from: number, long: number];

const tones: Record<"taken" | "asked" | "back" | "done", Tone[]> = {
  taken: [[880, 0, 0.07]],
  asked: [[196, 0, 0.16], [196, 0.22, 0.16]],
  back: [[440, 0, 0.07], [330, 0.09, 0.09]],
  done: [[523, 0, 0.1], [659, 0.12, 0.1], [784, 0.24, 0.2]],
};

const remembered = "slatewright-quiet";

export class Sound {
  private context: AudioContext | undefined;
  quiet = localStorage.getItem(remembered) === "yes";

  /** Plays one of the signs. Browsers allow it once somebody has touched the page. */
  play(sign: keyof typeof tones): void {
    if (this.quiet || typeof AudioContext === "undefined") return;
    this.context ??= new AudioContext();
    void this.context.resume();
    for (const [hertz, from, long] of tones[sign]) this.tone(this.context, hertz, this.context.currentTime + from, long);
  }

  private tone(context: AudioContext, hertz: number, at: number, long: number): void {
    const voice = context.createOscillator();
    const loudness = context.createGain();
    voice.type = "triangle";
    voice.frequency.value = hertz;
    loudness.gain.setValueAtTime(0, at);
    loudness.gain.linearRampToValueAtTime(0.35, at + 0.01); // no click
    loudness.gain.linearRampToValueAtTime(0, at + long);
    voice.connect(loudness).connect(context.destination);
    voice.start(at);
    voice.stop(at + long + 0.02);
  }

  /** Turns sounds on or off and remembers it on this tablet. */
  toggle(): void {
    this.quiet = !this.quiet;
    localStorage.setItem(remembered, this.quiet ? "yes" : "no");
  }
}
