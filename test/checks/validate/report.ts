import { type Check, type CheckGroup, isDone, isSkipped, KINDS, type Outcome } from "./check.js";

/** A group with its checks done. */
export interface CheckedGroup {
  readonly title: CheckGroup["title"];
  readonly rule: CheckGroup["rule"];
  readonly checks: readonly Outcome[];
}

/** How many rows there are, how many pass, miss and were skipped, and how many of them are printed figures. */
export function summary(all: readonly Outcome[]): string {
  const skipped = all.filter(isSkipped);
  const done = all.filter(isDone);
  const passed = done.filter(({ pass }) => pass).length;
  const reasons = [...new Set(skipped.map((row) => row.skipped))].join("; ");
  const tail = skipped.length === 0 ? "" : `, ${skipped.length} skipped (${reasons})`;
  const printed = done.filter(({ kind }) => kind === "printed");
  const documents = new Set(printed.map(({ document }) => document)).size;
  return `${all.length} rows, ${passed} pass, ${done.length - passed} miss${tail}. Printed figures: ${printed.length} from ${documents} ${documents === 1 ? "source" : "sources"}.`;
}

const MEANING: Readonly<Record<(typeof KINDS)[number], string>> = {
  printed: "a figure read in a published document, or in a transcription of it",
  recomputed: "computed apart from the project from published inputs",
  remembered: "written down from memory, not seen",
  "closed form": "a formula worked out by hand",
  "other library": "the result of a general-purpose library",
  "second implementation": "the same model, programmed a second time",
  "self-consistency":
    "the project against itself by another route, or against the file its figures came from",
  "common practice": "what makers do; no document",
};

/** The table of checks as Markdown. */
export function validationTable(groups: readonly CheckedGroup[]): string {
  const all = groups.flatMap((group) => group.checks);
  const head = [
    "# Checks against figures",
    "",
    "Written by `npm run validate -- --write docs/validation.md`. The figures, and how each came here, are in `data/published`; [sources.md](sources.md) lists the documents.",
    "",
    summary(all),
    "",
    "Only a printed figure shows that the project agrees with a published document. A figure that was fitted from several starting points counts once, with the worse result. `npm run validate -- --mutate` puts small faults into the built code, one at a time, and fails if the checks do not find one of them.",
    "",
    "## Rows by kind",
    "",
    "| kind | what the row is compared with | rows |",
    "| --- | --- | ---: |",
    ...KINDS.map(
      (kind) => `| ${kind} | ${MEANING[kind]} | ${all.filter((row) => row.kind === kind).length} |`,
    ),
    "",
    "## Rows by source",
    "",
    `| source | ${KINDS.slice(0, 3).join(" | ")} | other |`,
    "| --- | ---: | ---: | ---: | ---: |",
    ...bySource(all),
    "",
    "## Every row",
    "",
    "Digits: significant digits that agree, 15 at most. A row passes when the difference is at most the tolerance.",
  ];
  return [...head, ...groups.flatMap(section), ""].join("\n");
}

function bySource(all: readonly Outcome[]): string[] {
  const count = (rows: readonly Outcome[], kind: string): number =>
    rows.filter((row) => row.kind === kind).length;
  return [...new Set(all.map(({ document }) => document))]
    .map((document) => {
      const rows = all.filter((row) => row.document === document);
      const counts = KINDS.slice(0, 3).map((kind) => count(rows, kind));
      const other = rows.length - counts.reduce((a, b) => a + b, 0);
      return { counts, line: `| ${cell(document)} | ${[...counts, other].join(" | ")} |` };
    })
    .sort((a, b) => (b.counts[0] ?? 0) - (a.counts[0] ?? 0))
    .map(({ line }) => line);
}

function section({ title, rule, checks }: CheckedGroup): string[] {
  return [
    "",
    `### ${title}`,
    "",
    `Rule: ${rule}.`,
    "",
    "| what | source | kind | known | ours | tolerance | digits | |",
    "| --- | --- | --- | ---: | ---: | ---: | ---: | --- |",
    ...checks.map(line),
  ];
}

function line(outcome: Outcome): string {
  const start = `| ${cell(outcome.quantity)} | ${cell(outcome.source)} | ${outcome.kind} |`;
  return isSkipped(outcome) ? `${start} | | | | skipped |` : `${start} ${figures(outcome)} |`;
}

function figures({ published, ours, tolerance, digits, pass }: Check): string {
  return `${figure(published)} | ${figure(ours)} | ${short(tolerance)} | ${digits.toFixed(1)} | ${pass ? "pass" : "**MISS**"}`;
}

const cell = (text: string): string => text.replaceAll("|", "\\|");
const figure = (value: number): string => String(Number(value.toPrecision(12)));
const short = (value: number): string => (value === 0 ? "0" : value.toPrecision(2));
