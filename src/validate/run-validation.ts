import { mkdirSync, writeFileSync } from "node:fs";
import { dirname } from "node:path";
import { parseArgs } from "node:util";
import type { CheckGroup } from "./check.js";
import { CHECK_GROUPS } from "./groups.js";
import { type CheckedGroup, validationTable } from "./table.js";

const USAGE = `Compares the project with published figures; needs no network.

  node dist/validate/main.js [--json] [--write FILE]

  --json        print the rows as JSON
  --write FILE  also write the table as Markdown
Exit: 0 all rows pass, 1 a row misses or nothing was run, 2 wrong arguments.`;

/** Runs every group and prints its table. Returns the exit code. */
export function runValidation(
  args: readonly string[],
  checkGroups: readonly CheckGroup[] = CHECK_GROUPS,
): number {
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
  const groups: CheckedGroup[] = checkGroups.map(({ title, rule, checks }) => ({
    title,
    rule,
    checks: checks(),
  }));
  const all = groups.flatMap((group) => group.checks);
  const table = validationTable(groups);
  process.stdout.write(options.json ? `${JSON.stringify(all, null, 2)}\n` : table);
  if (options.write !== undefined) {
    mkdirSync(dirname(options.write), { recursive: true });
    writeFileSync(options.write, table);
  }
  const emptyGroup = groups.some((group) => group.checks.length === 0);
  return all.length > 0 && !emptyGroup && all.every((check) => check.pass) ? 0 : 1;
}
