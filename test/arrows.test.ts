import { readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join, relative, resolve, sep } from "node:path";
import { describe, expect, it } from "vitest";

/** What each folder of `src` may import. A folder not named here does not exist; an arrow not named here fails. */
const MAY_IMPORT: Record<string, readonly string[]> = {
  files: [],
  quantity: [],
  numeric: [],
  geometry: [],
  movement: [],
  gauge: ["numeric"],
  lattice: ["geometry"],
  cutting: ["geometry", "lattice"],
  seating: ["numeric", "geometry"],
  propagate: ["numeric"],
  predict: ["numeric", "geometry", "seating", "lattice", "cutting"],
  kernel: ["numeric", "geometry", "seating", "lattice", "cutting", "predict"],
  readings: ["numeric", "geometry", "seating", "lattice", "cutting", "predict"],
  job: ["files", "movement", "quantity", "geometry", "seating", "lattice", "cutting", "predict", "readings"],
  calibrate: ["numeric", "geometry", "seating", "kernel", "lattice", "cutting", "predict", "readings", "job"],
  explain: [
    "numeric",
    "geometry",
    "seating",
    "kernel",
    "lattice",
    "cutting",
    "predict",
    "readings",
    "job",
    "calibrate",
  ],
  outlook: ["numeric", "seating", "lattice", "cutting", "propagate", "predict", "kernel", "job", "calibrate"],
  panel: ["numeric", "lattice", "cutting", "propagate", "predict", "kernel", "job", "outlook"],
  bench: [
    "numeric",
    "geometry",
    "seating",
    "lattice",
    "cutting",
    "predict",
    "kernel",
    "readings",
    "job",
    "calibrate",
    "panel",
  ],
  cutlist: ["numeric", "geometry", "lattice", "cutting", "predict", "kernel", "job", "calibrate", "outlook"],
  tolerances: ["numeric", "cutting", "predict", "kernel", "job", "outlook"],
  season: ["movement", "numeric", "lattice", "cutting", "predict", "kernel", "job", "calibrate", "outlook"],
  plan: ["numeric", "lattice", "cutting", "predict", "readings", "job", "calibrate"],
  study: ["numeric", "cutting", "readings", "job", "calibrate"],
  batch: ["numeric", "lattice", "cutting", "job", "calibrate"],
  charts: [
    "quantity",
    "geometry",
    "seating",
    "lattice",
    "cutting",
    "predict",
    "readings",
    "job",
    "calibrate",
    "propagate",
  ],
  mystery: ["files", "quantity", "numeric", "lattice", "cutting", "readings", "job", "calibrate"],
  play: ["quantity", "geometry", "lattice", "cutting", "predict", "charts"],
  report: [
    "files",
    "quantity",
    "movement",
    "season",
    "tolerances",
    "cutlist",
    "explain",
    "mystery",
    "outlook",
    "panel",
    "play",
    "gauge",
    "charts",
    "calibrate",
    "plan",
    "batch",
    "predict",
    "seating",
    "readings",
    "job",
    "lattice",
    "geometry",
    "cutting",
  ],
  validate: [
    "files",
    "quantity",
    "numeric",
    "geometry",
    "movement",
    "seating",
    "propagate",
    "lattice",
    "cutting",
    "predict",
    "readings",
  ],
  fuzz: ["quantity", "lattice", "cutting", "job", "calibrate", "mystery", "report"],
  cli: ["*"],
  "index.ts": ["*"],
};

const SRC = resolve(import.meta.dirname, "../src");

function sourceFiles(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    return statSync(path).isDirectory() ? sourceFiles(path) : name.endsWith(".ts") ? [path] : [];
  });
}

const room = (path: string): string => relative(SRC, path).split(sep)[0]!;

/** Every relative import of a text, static or dynamic. */
function importsOf(text: string): string[] {
  return [...text.matchAll(/(?:from|import)\s*\(?\s*"(\.[^"]+)"/g)].map((match) => match[1]!);
}

function badArrows(files: readonly { path: string; text: string }[]): string[] {
  return files.flatMap(({ path, text }) =>
    importsOf(text).flatMap((target) => {
      const from = room(path);
      const to = room(resolve(dirname(path), target));
      const allowed = MAY_IMPORT[from];
      if (from === to) return [];
      if (to === "cli" || to === "index.js") return [`${from} → ${to}: nothing imports ${to}`];
      if (allowed === undefined) return [`${from} is not a known folder`];
      return allowed.includes("*") || allowed.includes(to)
        ? []
        : [`${from} → ${to} in ${relative(SRC, path)}`];
    }),
  );
}

describe("the arrows between folders", () => {
  it("point one way", () => {
    const files = sourceFiles(SRC).map((path) => ({ path, text: readFileSync(path, "utf8") }));
    expect(files.length).toBeGreaterThan(0);
    expect(badArrows(files)).toEqual([]);
  });

  it("are acyclic as written", () => {
    const seen = new Set<string>();
    for (const [folder, targets] of Object.entries(MAY_IMPORT)) {
      if (!targets.includes("*"))
        for (const target of targets) expect(seen, `${folder} → ${target}`).toContain(target);
      seen.add(folder);
    }
  });

  it("are seen when wrong", () => {
    const wrong = { path: join(SRC, "geometry", "x.ts"), text: 'import { y } from "../lattice/y.js";' };
    expect(badArrows([wrong])).toHaveLength(1);
    const dynamic = { path: join(SRC, "charts", "x.ts"), text: 'await import("../cli/main.js")' };
    expect(badArrows([dynamic])).toHaveLength(1);
  });

  it("bind decimal.js to quantity alone", () => {
    const users = sourceFiles(SRC)
      .filter((path) => readFileSync(path, "utf8").includes('"decimal.js"'))
      .map(room);
    for (const user of users) expect(user).toBe("quantity");
  });
});
