import { type CheckGroup, isDone, isSkipped, type Outcome } from "./check.js";

/** A group with its checks done. */
export interface CheckedGroup {
  readonly title: CheckGroup["title"];
  readonly rule: CheckGroup["rule"];
  readonly checks: readonly Outcome[];
}

/** How many rows there are, how many pass, miss and were skipped. */
export function summary(all: readonly Outcome[]): string {
  const skipped = all.filter(isSkipped);
  const done = all.filter(isDone);
  const passed = done.filter(({ pass }) => pass).length;
  const reasons = [...new Set(skipped.map((row) => row.skipped))].join("; ");
  const tail = skipped.length === 0 ? "" : `, ${skipped.length} skipped (${reasons})`;
  return `${all.length} rows, ${passed} pass, ${done.length - passed} miss${tail}.`;
}

/** The table of outside checks as Markdown. */
export function validationTable(groups: readonly CheckedGroup[]): string {
  const head = [
    "# Outside checks",
    "",
    "Written by `npm run validate -- --write docs/validation.md`; the figures and where they come from are in `data/published`.",
    "Digits: significant digits that agree, 15 at most. A row passes when |ours − published| ≤ tolerance.",
    "",
    summary(groups.flatMap((group) => group.checks)),
  ];
  return [...head, ...groups.flatMap(section), ""].join("\n");
}

function section({ title, rule, checks }: CheckedGroup): string[] {
  return [
    "",
    `## ${title}`,
    "",
    `Rule: ${rule}.`,
    "",
    "| what | source | published | ours | tolerance | digits | |",
    "| --- | --- | ---: | ---: | ---: | ---: | --- |",
    ...checks.map(line),
  ];
}

function line(outcome: Outcome): string {
  const { quantity, source } = outcome;
  if (isSkipped(outcome)) return `| ${cell(quantity)} | ${cell(source)} | | | | | skipped |`;
  const { published, ours, tolerance, digits, pass } = outcome;
  return `| ${cell(quantity)} | ${cell(source)} | ${figure(published)} | ${figure(ours)} | ${short(tolerance)} | ${digits.toFixed(1)} | ${pass ? "pass" : "**MISS**"} |`;
}

const cell = (text: string): string => text.replaceAll("|", "\\|");
const figure = (value: number): string => String(Number(value.toPrecision(12)));
const short = (value: number): string => (value === 0 ? "0" : value.toPrecision(2));
