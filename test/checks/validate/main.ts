import { parseArgs } from "node:util";
import { writeFile } from "../../../src/core/files.js";
import {
  CHECK_GROUPS,
  type CheckedGroup,
  type CheckGroup,
  compare,
  isDone,
  isSkipped,
  type Outcome,
  summary,
  validationTable,
} from "./check.js";

process.exitCode = await runValidation(process.argv.slice(2));

const USAGE = `Compares the project with published figures; needs no network.

  npm run validate -- [--json] [--write FILE]

  --json        print the rows as JSON
  --write FILE  also write the table as Markdown
Rows that need a library which is not installed are named as skipped; they do not count as passed.
Exit: 0 every row that was run passes, 1 a row misses or nothing was run, 2 wrong arguments.`;

/** Runs every group and prints its table. Resolves to the exit code. */
export async function runValidation(
  args: readonly string[],
  checkGroups: readonly CheckGroup[] = CHECK_GROUPS,
): Promise<number> {
  let options: { json?: boolean; write?: string; help?: boolean };
  try {
    options = parseArgs({
      args: [...args],
      options: { json: { type: "boolean" }, write: { type: "string" }, help: { type: "boolean" } },
    }).values;
  } catch (error) {
    process.stderr.write(`${(error as Error).message}\n\n${USAGE}\n`);
    return 2;
  }
  if (options.help) {
    process.stdout.write(`${USAGE}\n`);
    return 0;
  }
  const groups: CheckedGroup[] = [];
  for (const group of checkGroups) groups.push({ ...group, checks: await outcomesOf(group) });
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

/** A group that breaks off has missed: one row says so, and the others still run. */
async function outcomesOf({ title, checks }: CheckGroup): Promise<readonly Outcome[]> {
  try {
    return await checks();
  } catch (error) {
    const quantity = `the group runs to its end (1 yes); it broke off: ${(error as Error).message}`;
    const row = { id: `broken/${title}`, source: "this project", quantity, published: 1, ours: 0 };
    return [compare({ ...row, tolerance: 0 })];
  }
}
