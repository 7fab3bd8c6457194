import { execFile } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { parse as parseCsv } from "csv-parse/sync";
import { parse as parseYaml } from "yaml";
import { type Numbers, numbersOf } from "./compare-answers.js";

const run = promisify(execFile);

/** A command line whose numbers are compared. */
interface Question {
  readonly name: string;
  /** For a folder where it may write. */
  readonly args: (out: string) => readonly string[];
  /** Where the numbers are, and in what form; by default what is printed, as JSON. */
  readonly answer?: { readonly form: "yaml" | "csv"; readonly file?: string };
}

const JOBS = ["alcove-screen", "leaning-ramp"];

function questionsOf(job: string): Question[] {
  const folder = `data/${job}`;
  const json = (command: string, ...more: string[]): Question => ({
    name: `${command} ${job}`,
    args: () => [command, folder, "--json", ...more],
  });
  return [
    json("calibrate"),
    json("predict"),
    { ...json("predict", "--uncertain", "--trials", "20000"), name: `predict --uncertain ${job}` },
    json("panel", "--panels", "2000"),
    json("plan"),
    json("explain"),
    { name: `cutlist ${job}`, args: (out) => ["cutlist", folder, "--json", "--out", join(out, "cut")] },
    json("tolerances"),
    json("season"),
    {
      name: `record ${job}`,
      args: (out) => ["record", folder, "--out", join(out, "record.yaml")],
      answer: { form: "yaml", file: "record.yaml" },
    },
    { name: `simulate ${job}`, args: () => ["simulate", folder], answer: { form: "csv" } },
  ];
}

/** Every command that answers in numbers, on the demonstration jobs. */
export const QUESTIONS: readonly Question[] = [
  ...JOBS.flatMap(questionsOf),
  { name: "gauge", args: () => ["gauge", "data/alcove-screen/gauge.csv", "--json"] },
  {
    name: "batch",
    args: () => ["batch", "data/alcove-screen/batch.csv", "--job", "data/alcove-screen", "--json"],
  },
  {
    name: "mystery",
    args: (out) => ["mystery", "--seed", "7", "--out", join(out, "mystery")],
    answer: { form: "csv", file: "mystery/trials.csv" },
  },
  {
    name: "mystery --mark",
    args: (out) => ["mystery", "--mark", join(out, "mystery"), "--give-up", "--json"],
  },
];

/** What a tree answers to one question: numbers, or a refusal (exit code 1) in words. */
export type Answer = { readonly numbers: Numbers } | { readonly refused: string };

/**
 * Asks the built command line of a tree each question, one after the other.
 *
 * @throws Error when a command ends otherwise than with an answer or a refusal.
 */
export async function answersOf(tree: string, questions: readonly Question[]): Promise<Answer[]> {
  const out = mkdtempSync(join(tmpdir(), "sukima-answers-"));
  const answers: Answer[] = [];
  try {
    for (const question of questions) answers.push(await ask(tree, question, out));
  } finally {
    rmSync(out, { recursive: true, force: true });
  }
  return answers;
}

async function ask(tree: string, { args, name, answer }: Question, out: string): Promise<Answer> {
  try {
    const { stdout } = await run(process.execPath, ["dist/cli/main.js", ...args(out)], {
      cwd: tree,
      maxBuffer: 1e8,
    });
    const text = answer?.file === undefined ? stdout : readFileSync(join(out, answer.file), "utf8");
    return { numbers: numbersOf(parsed(text, answer?.form ?? "json")) };
  } catch (error) {
    const { code, stderr } = error as { code?: unknown; stderr?: string };
    if (code === 1) return { refused: stderr ?? "" };
    throw new Error(`“${name}” failed in ${tree}: ${stderr ?? error}`);
  }
}

function parsed(text: string, form: "json" | "yaml" | "csv"): unknown {
  if (form === "json") return JSON.parse(text);
  if (form === "yaml") return parseYaml(text);
  return parseCsv(text, { columns: true, cast: (word) => (word.trim() === "" ? word : numberOr(word)) });
}

const numberOr = (word: string): number | string => (Number.isNaN(Number(word)) ? word : Number(word));

/**
 * Builds a commit of this project in a folder of its own and calls `use` with that folder, which is removed afterwards.
 *
 * @throws Error when the commit is unknown or does not build.
 */
export async function withCommit<T>(
  root: string,
  commit: string,
  use: (tree: string) => Promise<T>,
): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), "sukima-commit-"));
  const tree = join(folder, "tree");
  try {
    await run("git", ["worktree", "add", "--quiet", "--detach", tree, commit], { cwd: root });
    const lock = (place: string): string => readFileSync(join(place, "package-lock.json"), "utf8");
    if (lock(tree) === lock(root) && existsSync(join(root, "node_modules")))
      symlinkSync(join(root, "node_modules"), join(tree, "node_modules"));
    else await run("npm", ["ci", "--no-audit", "--no-fund"], { cwd: tree });
    await run("npm", ["run", "--silent", "build"], { cwd: tree });
    return await use(tree);
  } finally {
    await run("git", ["worktree", "remove", "--force", tree], { cwd: root }).catch(() => undefined);
    rmSync(folder, { recursive: true, force: true });
  }
}
