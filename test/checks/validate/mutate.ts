import { spawn } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { availableParallelism, tmpdir } from "node:os";
import { join } from "node:path";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { MUTATIONS, type Mutation } from "./mutations.js";

/** What became of a fault: `caught` by a row that misses, `missed` by all, or its text was not found once. */
export interface Verdict {
  readonly name: string;
  readonly verdict: "caught" | "MISSED" | "NOT FOUND";
  /** The first row that missed. */
  readonly by: string;
}

const BUILT = "dist-checks";

/**
 * Puts every fault of the list, alone, into a copy of the built checks and runs the groups that should find it. First the same groups run without a fault and must pass.
 * Prints a line a fault. Resolves to the exit code: 0 when every fault was caught.
 */
export async function runMutations(mutations: readonly Mutation[] = MUTATIONS): Promise<number> {
  const copies = Array.from({ length: Math.max(1, availableParallelism()) }, workingCopy);
  try {
    const groups = longestFirst([...new Set(mutations.flatMap((mutation) => mutation.groups))], (group) => [
      group,
    ]);
    // A process a copy, for starting one takes longer than most groups.
    const sound = await Promise.all(
      copies.map(async (copy, k) => {
        const own = groups.filter((_, i) => i % copies.length === k);
        return own.length === 0 ? { code: 0, errors: "" } : runGroups(copy, own);
      }),
    );
    const errors = sound.filter(({ code }) => code !== 0).map((one) => one.errors);
    if (errors.length > 0) {
      process.stderr.write(`The checks miss without any fault.\n${errors.join("")}`);
      return 1;
    }
    const verdicts: Verdict[] = [];
    await eachOf(
      longestFirst(mutations, ({ groups }) => groups),
      copies,
      async (mutation, copy) => {
        const verdict = await judge(copy, mutation);
        verdicts.push(verdict);
        process.stdout.write(
          `${verdict.verdict.padEnd(10)} ${verdict.name}${verdict.by ? `: ${verdict.by}` : ""}\n`,
        );
      },
    );
    const caught = verdicts.filter(({ verdict }) => verdict === "caught").length;
    process.stdout.write(`${mutations.length} faults, ${caught} caught.\n`);
    return caught === mutations.length && caught > 0 ? 0 : 1;
  } finally {
    for (const copy of copies) rmSync(copy, { recursive: true, force: true });
  }
}

/** Groups that take several seconds: begun first, so that no processor waits at the end. */
const LONG = ["Batch: how soon", "Least squares: nonlinear", "Batch: charts"];

const longestFirst = <T>(items: readonly T[], groupsOf: (item: T) => readonly string[]): T[] => {
  const place = (item: T): number => {
    const found = LONG.findIndex((long) => groupsOf(item).includes(long));
    return found < 0 ? LONG.length : found;
  };
  return items.toSorted((a, b) => place(a) - place(b));
};

/** Does `work` on every item, as many at a time as there are copies. */
async function eachOf<T>(
  items: readonly T[],
  copies: readonly string[],
  work: (item: T, copy: string) => Promise<void>,
): Promise<void> {
  const waiting = [...items];
  const turn = async (copy: string): Promise<void> => {
    for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) await work(next, copy);
  };
  await Promise.all(copies.map(turn));
}

/** A folder that looks like the package: the built checks copied, the rest linked. */
function workingCopy(): string {
  const folder = mkdtempSync(join(tmpdir(), "mutated-"));
  cpSync(join(PACKAGE_ROOT, BUILT), join(folder, BUILT), { recursive: true });
  for (const name of ["package.json", "node_modules", "data"])
    symlinkSync(join(PACKAGE_ROOT, name), join(folder, name));
  return folder;
}

async function judge(copy: string, { name, file, edits, groups }: Mutation): Promise<Verdict> {
  const path = join(copy, BUILT, "src", file);
  const sound = readFileSync(path, "utf8");
  let text = sound;
  for (const [from, to] of edits) {
    const parts = text.split(from);
    if (parts.length !== 2)
      return { name, verdict: "NOT FOUND", by: `"${from}" stands ${parts.length - 1} times in ${file}` };
    text = parts.join(to);
  }
  writeFileSync(path, text);
  try {
    const { code, errors } = await runGroups(copy, groups);
    const by = /^MISS (.*)$/m.exec(errors)?.[1] ?? "";
    return { name, verdict: code === 1 && by !== "" ? "caught" : "MISSED", by };
  } finally {
    writeFileSync(path, sound);
  }
}

/** Runs the checks of a working copy, these groups alone. */
function runGroups(
  copy: string,
  groups: readonly string[],
): Promise<{ code: number | null; errors: string }> {
  const main = join(copy, BUILT, "test/checks/validate/main.js");
  const child = spawn(process.execPath, [main, "--first", ...groups.flatMap((group) => ["--group", group])], {
    stdio: ["ignore", "ignore", "pipe"],
  });
  let errors = "";
  child.stderr.on("data", (chunk) => {
    errors += chunk;
  });
  return new Promise((resolve, reject) => {
    child.on("error", reject);
    child.on("close", (code) => resolve({ code, errors }));
  });
}
