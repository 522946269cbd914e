// A form's fields as the body of an act. A name is a path, as it is on the command line: stone.length_mm, slabs.0.id. The names of
// lengths end in _mm, and lengths go out in mm.

/** One filled field of a form. */
export interface Field {
  name: string;
  value: string;
  as: "text" | "number" | "yes" | "list" | "day";
  unit?: string; // in which a length was typed: mm, thou or in
}

type Json = string | number | boolean | Json[] | { [name: string]: Json };

const mmIn: Record<string, number> = { mm: 1, thou: 0.0254, in: 25.4 };

/** The body that the fields make. What is empty is left out, and so are names that begin with an underscore. */
export function bodyOf(fields: Iterable<Field>): Record<string, Json> {
  const body: Record<string, Json> = {};
  for (const f of fields) {
    const value = valueOf(f);
    if (value === undefined || f.name === "" || f.name.startsWith("_")) continue;
    place(body, f.name.split("."), value);
  }
  return closed(body) as Record<string, Json>;
}

function valueOf(f: Field): Json | undefined {
  const text = f.value.trim();
  if (text === "") return undefined;
  switch (f.as) {
    case "number":
      return numberOf(text, f.unit);
    case "yes":
      return text !== "no" && text !== "false";
    case "day":
      return `${text}T00:00:00Z`;
    case "list": {
      const parts = text.split(/[,;\n]/).map((t) => t.trim()).filter((t) => t !== "");
      return f.name.endsWith("_mm") ? parts.map((t) => numberOf(t, f.unit)) : parts;
    }
    case "text":
      return text;
  }
}

/** The number that a text says, in mm when it is a length in another unit. The mill says what is wrong with a text that is none. */
function numberOf(text: string, unit = "mm"): Json {
  const x = Number(text.replace(",", ".").replace("−", "-"));
  const mm = mmIn[unit];
  if (!Number.isFinite(x) || mm === undefined) return text;
  return unit === "mm" ? x : Number((x * mm).toPrecision(12));
}

function place(into: Record<string, Json>, path: string[], value: Json): void {
  const [first, ...rest] = path;
  if (first === undefined || first === "__proto__") return;
  if (rest.length === 0) {
    into[first] = value;
    return;
  }
  const next = into[first];
  const inner: Record<string, Json> = typeof next === "object" && !Array.isArray(next) ? next : {};
  into[first] = inner;
  place(inner, rest, value);
}

/** The field of a form that a place in what was sent names: body.pieces[1].id is the field pieces.1.id. */
export function fieldAt(where = ""): string {
  return where.replace(/^.*\bbody\./, "").replace(/\[(\d+)\]/g, ".$1");
}

/** Objects whose names all are numbers are lists; gaps in them are closed. */
function closed(value: Json): Json {
  if (typeof value !== "object" || Array.isArray(value)) return value;
  const names = Object.keys(value);
  if (names.length > 0 && names.every((n) => /^\d+$/.test(n))) {
    return names.sort((a, b) => Number(a) - Number(b)).map((n) => closed(value[n]!));
  }
  return Object.fromEntries(names.map((n) => [n, closed(value[n]!)]));
}
