// The words of the scripts, in the reader's language. They come from the mill's one catalogue and are bundled per language.

type Catalogue = Record<string, string>;

const languages: Record<string, () => Promise<{ default: Catalogue }>> = {
  en: () => import("words:en"),
  pt: () => import("words:pt"),
  it: () => import("words:it"),
  es: () => import("words:es"),
  zh: () => import("words:zh"),
};

let said: Catalogue = {};

/** Fetches the words of a language; English when there are none of that name. */
export async function learn(language: string): Promise<void> {
  const short = language.split("-")[0] ?? "en";
  said = (await (languages[short] ?? languages["en"]!)()).default;
}

/** Says what a key stands for, with its places filled. A key without words shows as itself. */
export function say(key: string, places: Record<string, string | number> = {}): string {
  return (said[key] ?? `⟨${key}⟩`).replace(/\{(\w+)\}/g, (hole, name: string) => String(places[name] ?? hole));
}
