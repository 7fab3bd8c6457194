import { readFileSync, writeFileSync } from "node:fs";
import { JobError, type JobFault } from "../../../src/io/faults.js";
import { withSlip } from "./calculators.js";
import { mendedJob, mendedTable } from "./mended.js";
import { STRESSES } from "./stresses.js";
import { type Subject, subjects } from "./subjects.js";

// “Right would be: …” is advice: put where the fault is, it must be accepted there.

/** Faults of one file that are tried; they are told in the order of the file. */
const MOST_TRIED = 3;

/** Every YAML file and table, with one slip in it; what a refusal says is right is put there and read again. */
export function remedies(folder: string): readonly Subject[] {
  return subjects(folder)
    .filter(({ file, name }) => file !== null && name !== "notebook" && name !== "plan")
    .map((subject) => ({
      ...subject,
      // A table with other marks between its cells is mended as well, but not here.
      good: subject.good.filter((text) => !text.startsWith("id;")),
      slip: (text: string, pick: number) =>
        pick % 3 === 0 ? withWord(text, Math.floor(pick / 3)) : withSlip(text, Math.floor(pick / 3)),
      read: async (path: string) => {
        const refusal = await refusalOf(subject, path);
        if (refusal === null) return;
        const text = readFileSync(path, "utf8");
        for (const fault of refusal.faults.filter(isOfValue).slice(0, MOST_TRIED))
          await requireMending(subject, path, text, fault);
        throw refusal;
      },
    }));
}

/** Not: broken YAML, a key that is no name, and advice in words such as “(one whose ramp is 22.5°)”. */
const isOfValue = ({ file, line, field, sentence, example }: JobFault): boolean =>
  line > 0 &&
  !/The key “[^”]*\.[^”]*”/.test(sentence) &&
  (file.endsWith(".csv") ||
    (/^(?:[A-Za-z][\w -]*|\d+)(?:\.(?:(?!true|false|null|NaN)[A-Za-z][\w -]*|\d+))*$/.test(field) &&
      /^[\w -]+: [^(“]+$/.test(example)));

async function refusalOf({ read }: Subject, path: string): Promise<JobError | null> {
  try {
    await read(path);
    return null;
  } catch (error) {
    if (error instanceof JobError) return error;
    throw error;
  }
}

/** @throws Error when what the fault says is right is refused at its place */
async function requireMending(subject: Subject, path: string, text: string, fault: JobFault): Promise<void> {
  let left = "";
  for (const mended of mendings(path, text, fault)) {
    writeFileSync(path, mended);
    const refusal = await refusalOf(subject, path);
    const again = refusal?.faults.find((one) => samePlace(one, fault));
    if (again === undefined) return;
    left = again.sentence;
  }
  if (left !== "")
    throw new Error(
      `a remedy is refused at ${fault.field || `line ${fault.line}`}: ${fault.example} — first: ${fault.sentence} — then: ${left}`,
    );
}

const samePlace = (one: JobFault, other: JobFault): boolean =>
  other.file.endsWith(".csv")
    ? one.line === other.line && one.column === other.column
    : one.field === other.field || one.field.startsWith(`${other.field}.`);

/** The text with the remedy in place; in two ways where the example may stand for a key or within its group. None where the fault is not of a value: of broken YAML. */
function mendings(path: string, text: string, fault: JobFault): string[] {
  if (path.endsWith(".csv")) return [mendedTable(text, fault)];
  if (fault.field === "") return [];
  return [false, true].flatMap((inGroup) => {
    try {
      return [mendedJob(text, fault, inGroup)];
    } catch {
      return [];
    }
  });
}

/** A text with one of its values replaced by something that is no such value, or with one of its words misspelt. */
function withWord(text: string, pick: number): string {
  const values = [...text.matchAll(/(?<=[:,[] ?)[^\n,:{}[\]#]+/g)];
  const words = [...text.matchAll(/(?<=[:,[{ ] ?)[A-Za-z][\w-]{2,}/g)];
  const kind = pick % 2 === 0 ? values : words;
  const chosen = kind[Math.floor(pick / 2) % kind.length];
  if (chosen === undefined) return text;
  const [found] = chosen;
  const put =
    pick % 2 === 0
      ? ` ${STRESSES.values[Math.floor(pick / 7) % STRESSES.values.length]}`
      : found.slice(0, 1) + found.slice(2);
  return text.slice(0, chosen.index) + put + text.slice(chosen.index + found.length);
}
