import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { UserError } from "../../core/errors.js";
import { sourceText } from "../../render/source-text.js";
import { textTable, wrapped } from "../../render/text.js";
import { CLASS_FOLDERS } from "./class-kit.js";
import { MYSTERY_FILES } from "./make-mystery.js";
import { type MarkedMystery, markFolder, markingJson, openMystery, whyLines } from "./mark-mystery.js";

/** The folders of the mysteries of a class, in the order of their numbers; none where a folder is no class. */
export function classFolders(folder: string): string[] {
  const students = join(folder, CLASS_FOLDERS.students);
  if (!existsSync(students)) return [];
  return readdirSync(students, { withFileTypes: true })
    .filter((entry) => entry.isDirectory() && existsSync(join(students, entry.name, MYSTERY_FILES.code)))
    .map(({ name }) => name)
    .sort((a, b) => a.localeCompare(b, "en", { numeric: true }))
    .map((name) => join(students, name));
}

/**
 * Marks every answer of a class in one table.
 *
 * @throws UserError (code "command") where nothing has been answered yet.
 */
export function markClass(folder: string, json: boolean): string {
  const opened = classFolders(folder).map(openMystery);
  const all = opened.map((one) => markFolder(one, { whyMissed: false }));
  const answered = all.filter((one) => one.answered);
  if (answered.length === 0)
    throw new UserError(
      "command",
      `No mystery of ${folder} has an answer yet; each answer goes into the ${MYSTERY_FILES.answer} of its folder.`,
    );
  const explained = answered.map((one) =>
    one.marking.sources.some(({ truth, interval: [low, high] }) => truth < low || truth > high)
      ? markFolder(one, { whyMissed: true })
      : one,
  );
  if (json)
    return JSON.stringify(
      all.map((one) => ({
        mystery: one.key.seed,
        name: one.name,
        answered: one.answered,
        ...(one.answered ? markingJson(explained.find(({ folder: at }) => at === one.folder) ?? one) : {}),
      })),
      null,
      1,
    );
  const sum = answered.reduce((total, { marking }) => total + marking.points, 0);
  const of = answered.reduce((total, { marking }) => total + marking.of, 0);
  return [
    `${answered.length} of ${all.length} mysteries answered; ${sum} of ${of} points.`,
    "",
    textTable(["mystery", "name", "points", "of", "what was found and missed"], all.map(rowOf), [2, 3]),
    "",
    ...explained.flatMap(whyOf),
    wrapped(`npx sukima mystery --mark FOLDER of one mystery shows its marks cause by cause.`),
    "",
  ].join("\n");
}

const SHORT = {
  found: "found",
  rough: "size off",
  "wrong-side": "wrong way",
  missed: "missed",
  "beyond-the-data": "not shown by the readings",
  "not-read": "not read",
  "false-alarm": "false alarm",
} as const;

function rowOf({ key, name, answered, marking }: MarkedMystery): string[] {
  if (!answered) return [String(key.seed), name, "", "", "no answer yet"];
  const said = marking.sources.flatMap(({ source, marked }) =>
    marked === "right" || marked === "excusable" ? [] : [`${sourceText(source)}: ${SHORT[marked]}`],
  );
  return [String(key.seed), name, String(marking.points), String(marking.of), said.join("; ")];
}

const whyOf = ({ key, misses, job }: MarkedMystery): string[] =>
  misses.length === 0 ? [] : [`Mystery ${key.seed}`, ...misses.flatMap((miss) => whyLines(miss, job)), ""];
