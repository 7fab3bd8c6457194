import { realpathSync } from "node:fs";
import { parseArgs } from "node:util";
import { writeFile } from "../../../src/core/files.js";
import {
  type CheckGroup,
  compare,
  FirstMiss,
  isDone,
  isSkipped,
  type Outcome,
  stopAtFirstMiss,
} from "./check.js";
import { CHECK_GROUPS } from "./groups.js";
import { runMutations } from "./mutate.js";
import { type CheckedGroup, summary, validationTable } from "./report.js";

const USAGE = `Compares the project with published figures; needs no network.

  npm run validate -- [--json] [--write FILE] [--group TITLE] … [--first]
  npm run validate -- --mutate

  --json         print the rows as JSON
  --write FILE   also write the table as Markdown
  --group TITLE  only groups whose title begins so; may be given several times
  --first        stop at the first row that misses; prints no table
  --mutate       put small faults into a copy of the built code, one at a time; each must make a row miss
Rows that need a library which is not installed are named as skipped; they do not count as passed.
Exit: 0 every row that was run passes (or every fault was caught), 1 a row misses, a fault is not caught or nothing was run, 2 wrong arguments.`;

/** Runs every group and prints its table. Resolves to the exit code. */
export async function runValidation(
  args: readonly string[],
  checkGroups: readonly CheckGroup[] = CHECK_GROUPS,
): Promise<number> {
  let options: {
    json?: boolean;
    write?: string;
    help?: boolean;
    mutate?: boolean;
    first?: boolean;
    group?: string[];
  };
  try {
    options = parseArgs({
      args: [...args],
      options: {
        json: { type: "boolean" },
        write: { type: "string" },
        help: { type: "boolean" },
        mutate: { type: "boolean" },
        first: { type: "boolean" },
        group: { type: "string", multiple: true },
      },
    }).values;
  } catch (error) {
    process.stderr.write(`${(error as Error).message}\n\n${USAGE}\n`);
    return 2;
  }
  if (options.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  if (options.mutate) return runMutations();
  const { group: titles } = options;
  const wanted = checkGroups.filter(({ title }) => titles?.some((start) => title.startsWith(start)) ?? true);
  if (options.first) return firstMiss(wanted);
  const groups: CheckedGroup[] = [];
  for (const group of wanted) groups.push({ ...group, checks: await outcomesOf(group) });
  const all = groups.flatMap((group) => group.checks);
  const done = all.filter(isDone);
  const table = validationTable(groups);
  process.stdout.write(options.json ? `${JSON.stringify(done, null, 2)}\n` : table);
  if (options.write !== undefined) writeFile(options.write, table);
  const bad = all.filter((outcome) => isSkipped(outcome) || !outcome.pass);
  const why = bad.map((row) => (isSkipped(row) ? `skipped ${row.id}: ${row.skipped}` : `MISS ${row.id}`));
  process.stderr.write(`${[summary(all), ...why].join("\n")}\n`);
  const emptyGroup = groups.some((group) => group.checks.length === 0);
  return done.length > 0 && !emptyGroup && done.every((check) => check.pass) ? 0 : 1;
}

/** Runs the groups until a row misses; 0 when none does. */
async function firstMiss(groups: readonly CheckGroup[]): Promise<number> {
  stopAtFirstMiss();
  for (const { title, checks } of groups)
    try {
      await checks();
    } catch (error) {
      const what = error instanceof FirstMiss ? error.id : `broken/${title}`;
      process.stderr.write(`MISS ${what}\n`);
      return 1;
    }
  return groups.length > 0 ? 0 : 1;
}

/** A group that breaks off has missed: one row says so, and the others still run. */
async function outcomesOf({ title, checks }: CheckGroup): Promise<readonly Outcome[]> {
  try {
    return await checks();
  } catch (error) {
    const quantity = `the group runs to its end (1 yes); it broke off: ${(error as Error).message}`;
    const row = {
      id: `broken/${title}`,
      kind: "self-consistency" as const,
      document: "this project",
      source: "this project",
      quantity,
      published: 1,
      ours: 0,
    };
    return [compare({ ...row, tolerance: 0 })];
  }
}

// Run as a program, not where a test imports it.
const program = process.argv[1];
if (program !== undefined && realpathSync(program) === realpathSync(import.meta.filename))
  process.exitCode = await runValidation(process.argv.slice(2));
