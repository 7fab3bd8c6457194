import { parseArgs } from "node:util";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { textTable } from "../../../src/render/text.js";
import { ADDED, compareAnswers, LEFT_OUT, MULTIPLIED, RENAMED } from "./compare-answers.js";
import { type Answer, answersOf, QUESTIONS, withCommit } from "./run-answers.js";

// Whether every command answers with the same numbers as at another commit: npm run answers -- --against COMMIT [--only WORD] [--within SHARE]

const { values } = parseArgs({
  options: {
    against: { type: "string" },
    only: { type: "string", default: "" },
    within: { type: "string", default: "1e-8" },
  },
});
if (values.against === undefined) {
  console.error("Say which commit to compare with: npm run answers -- --against COMMIT");
  process.exit(2);
}
const questions = QUESTIONS.filter(({ name }) => name.includes(values.only));
const [before, after] = await withCommit(PACKAGE_ROOT, values.against, (tree) =>
  Promise.all([answersOf(tree, questions), answersOf(PACKAGE_ROOT, questions)]),
);

const differences: string[] = [];
const rows = questions.map(({ name }, at) => row(name, before[at], after[at]));
console.log(
  textTable(
    ["command", "numbers before", "after", "renamed", "added", "left out", "largest difference", "different"],
    rows,
  ),
);
for (const [from, to] of RENAMED) console.log(`renamed: ${from} → ${to}`);
for (const pattern of ADDED) console.log(`added: ${pattern.source}`);
for (const { path, factor } of MULTIPLIED) console.log(`the same or ${factor} times: ${path.source}`);
for (const pattern of LEFT_OUT) console.log(`left out: ${pattern.source}`);
console.log(
  differences.length === 0
    ? `The same numbers, to a share of ${values.within} of each.`
    : differences.join("\n"),
);
process.exitCode = differences.length === 0 ? 0 : 1;

function row(name: string, old: Answer | undefined, now: Answer | undefined): string[] {
  if (old === undefined || now === undefined) throw new Error(`“${name}” was not asked.`);
  if ("refused" in old && "refused" in now) return [name, "refused", "refused", "", "", "", "", ""];
  if ("refused" in old || "refused" in now) {
    differences.push(`${name}: ${"refused" in old ? "answered only now" : "refused now"}`);
    return [
      name,
      ...[old, now].map((one) => ("refused" in one ? "refused" : "answered")),
      "",
      "",
      "",
      "",
      "yes",
    ];
  }
  const intended = { renamed: RENAMED, added: ADDED, leftOut: LEFT_OUT, multiplied: MULTIPLIED };
  const found = compareAnswers(old.numbers, now.numbers, intended, Number(values.within));
  differences.push(...found.different.map((one) => `${name}: ${one}`));
  const counts = [found.before, found.after, found.renamed, found.added, found.leftOut];
  return [name, ...counts.map(String), found.largest.toExponential(1), String(found.different.length)];
}
