import type { Check, CheckGroup } from "./check.js";

/** A group with its checks done. */
export interface CheckedGroup {
  readonly title: CheckGroup["title"];
  readonly rule: CheckGroup["rule"];
  readonly checks: readonly Check[];
}

/** The table of outside checks as Markdown. */
export function validationTable(groups: readonly CheckedGroup[]): string {
  const all = groups.flatMap((group) => group.checks);
  const missed = all.filter((check) => !check.pass);
  const head = [
    "# Outside checks",
    "",
    "Written by `node dist/validate/main.js --write docs/validation.md`; the figures and where they come from are in `data/published`.",
    "Digits: significant digits that agree, 15 at most. A row passes when |ours − published| ≤ tolerance.",
    "",
    `${all.length} rows, ${all.length - missed.length} pass, ${missed.length} miss.`,
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
    ...checks.map(
      ({ quantity, source, published, ours, tolerance, digits, pass }) =>
        `| ${cell(quantity)} | ${cell(source)} | ${figure(published)} | ${figure(ours)} | ${short(tolerance)} | ${digits.toFixed(1)} | ${pass ? "pass" : "**MISS**"} |`,
    ),
  ];
}

const cell = (text: string): string => text.replaceAll("|", "\\|");
const figure = (value: number): string => String(Number(value.toPrecision(12)));
const short = (value: number): string => (value === 0 ? "0" : value.toPrecision(2));
