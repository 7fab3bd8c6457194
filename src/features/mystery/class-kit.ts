import { stringify } from "csv-stringify/sync";
import { html, htmlPage } from "../../render/html.js";
import { sourceText } from "../../render/source-text.js";
import { type FairMystery, fairMystery, hiddenFaults, mysteryFiles } from "./make-mystery.js";
import { errorSizeText } from "./mark-mystery.js";
import type { MysteryKey, MysteryLevel } from "./mystery-job.js";
import { classSheetStyle, shownText, studentSheets } from "./student-sheet.js";

/** Folders of a class: what the students get, and what they do not. */
export const CLASS_FOLDERS = { students: "students", teacher: "teacher" } as const;

const POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/** Most mysteries of one class. */
export const MOST_OF_CLASS = 60;

/**
 * The mysteries of a class, of neighbouring seeds, and all its files by their paths: the sheets to print and a folder for each mystery under `students`, the answers under `teacher`.
 *
 * @param count from 1 to {@link MOST_OF_CLASS}.
 */
export function classKit(
  key: MysteryKey & { readonly level: MysteryLevel },
  count: number,
): { readonly mysteries: readonly FairMystery[]; readonly files: Readonly<Record<string, string>> } {
  const mysteries = Array.from({ length: count }, (_, k) => fairMystery({ ...key, seed: key.seed + k }));
  const files: Record<string, string> = {};
  for (const mystery of mysteries)
    for (const [name, content] of Object.entries(mysteryFiles(mystery)))
      files[`${CLASS_FOLDERS.students}/mystery-${mystery.key.seed}/${name}`] = content;
  files[`${CLASS_FOLDERS.students}/sheets.html`] = studentSheets(mysteries);
  files[`${CLASS_FOLDERS.teacher}/answers.html`] = answersPage(mysteries);
  files[`${CLASS_FOLDERS.teacher}/answers.csv`] = answersCsv(mysteries);
  return { mysteries, files };
}

interface AnswerLine {
  readonly mystery: string;
  readonly cause: string;
  readonly size: string;
  readonly told: string;
}

function linesOf({ key, job, estimates }: FairMystery): AnswerLine[] {
  return hiddenFaults(key).map(({ source, size }) => {
    const cause = sourceText(source);
    const estimate = estimates.find(({ id }) => sourceText(id) === cause);
    const [low, high] = estimate?.interval ?? [Number.NaN, Number.NaN];
    const text = (value: number): string => errorSizeText(source, value, job);
    return { mystery: String(key.seed), cause, size: text(size), told: `${text(low)} to ${text(high)}` };
  });
}

const answersCsv = (mysteries: readonly FairMystery[]): string =>
  stringify([
    ["mystery", "cause", "size", "readings tell (95 %)"],
    ...mysteries.flatMap(linesOf).map(({ mystery, cause, size, told }) => [mystery, cause, size, told]),
  ]);

function answersPage(mysteries: readonly FairMystery[]): string {
  const [first] = mysteries;
  const rows = mysteries.flatMap((mystery) =>
    linesOf(mystery).map(
      ({ cause, size, told }, k) =>
        html`<tr><th scope="row">${k === 0 ? String(mystery.key.seed) : ""}</th><td>${cause}</td><td>${size}</td><td>${told}</td></tr>`,
    ),
  );
  const sold = mysteries.flatMap((mystery) =>
    mystery.key.level === "budget"
      ? [
          html`<h2>Mystery ${String(mystery.key.seed)}: what each reading shows, to sell</h2><p>${mystery.readings.map((one) => `${one.id}: ${shownText(one, mystery.job)}`).join("; ")}</p>`,
        ]
      : [],
  );
  const body = html`<main><article><header><h1>Answers of the class (invented shops)</h1></header>
<p>For the teacher. Whatever is not listed is right. The last column is what a fit of all readings tells; nobody can do better from them.</p>
<table class="readings"><thead><tr><th scope="col">mystery</th><th scope="col">cause</th><th scope="col">size</th><th scope="col">the readings tell (95 %)</th></tr></thead><tbody>${rows}</tbody></table>
${sold}</article></main>`;
  const style = classSheetStyle(first?.job.units ?? "mm");
  return htmlPage({ title: "Mysteries: answers for the teacher (invented)", policy: POLICY, style, body });
}
