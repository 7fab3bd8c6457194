import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { failure } from "../../src/cli/failure.js";
import { EXIT } from "../../src/core/errors.js";
import { PACKAGE_ROOT } from "../../src/core/package-root.js";
import { batchCommand } from "../../src/features/batch/batch-report.js";
import { calibrateCommand, cardCommand } from "../../src/features/calibrate/calibration-report.js";
import { cutListCommand } from "../../src/features/cutlist/cut-list-report.js";
import { explainCommand } from "../../src/features/explain/explain-report.js";
import { gaugeCommand } from "../../src/features/gauge/gauge-report.js";
import { mysteryCommand } from "../../src/features/mystery/mystery-report.js";
import { panelCommand } from "../../src/features/panel/panel-report.js";
import { patternCommand } from "../../src/features/pattern/pattern-report.js";
import { planCommand } from "../../src/features/plan/plan-report.js";
import { predictUncertainCommand } from "../../src/features/predict/forecast-report.js";
import { predictCommand } from "../../src/features/predict/prediction-report.js";
import { recordCommand } from "../../src/features/record/record-yaml.js";
import { seasonCommand } from "../../src/features/season/season-report.js";
import { tolerancesCommand } from "../../src/features/tolerances/tolerance-report.js";
import { placeOf } from "../../src/io/place.js";
import { FULL, LEAST } from "../io/good-job.js";
import { HEADING } from "../io/good-trials.js";
import { inFolder } from "../io/in-folder.js";

// Folders whose files can be read and that a command cannot work with: its message names the file and the key or column, or the option, and what to write.

const quiet = (): void => {};
const stated = { json: true, seed: 1, withoutReadings: true } as const;
const NO_ERRORS = `${LEAST}scatter: { angle: 0, length: 0, thickness: 0 }\nthickness: { trusted-to: 0 }\ngrid: { offset: 0, turn: 0 }\n`;
const as = (cut: string): string =>
  `${LEAST}as-cut: { pieces: { hinge-1: { cuts: { end-left: ${cut} } } } }\n`;
const PANEL = "panel: { rows: 2, columns: 2 }\n";
/** The diamond, all of it turned by some degrees. */
const SLANTED = readFileSync(join(PACKAGE_ROOT, "data", "patterns", "diamond.yaml"), "utf8")
  .replace("pattern: diamond", "pattern: own")
  .replace(
    /point\(([^,()]+), ([^()]+)\)/g,
    "point(0.9 * ($1) - sqrt(0.19) * ($2), sqrt(0.19) * ($1) + 0.9 * ($2))",
  );
const STOCK = "stock: { lengths: [60 mm], kerf: 1 mm }\n";

interface Case {
  readonly refused: string;
  readonly job?: string;
  readonly files?: Readonly<Record<string, string>>;
  readonly run: (folder: string) => unknown;
  /** What the command was given, under the folder; default the folder. */
  readonly given?: string;
  readonly says: RegExp;
}

const CASES: readonly Case[] = [
  {
    refused: "a cut that vanishes",
    job: as("{ axial: -5 mm, angle: 9.9 deg }").replace("strip: 3", "strip: 8"),
    run: (folder) => predictCommand(folder, {}),
    says: /job\.yaml(?:, line \d+)?: as-cut\n {2}The errors are too large/,
  },
  {
    refused: "a prediction where nothing scatters",
    job: NO_ERRORS,
    run: (folder) => predictUncertainCommand(folder, { ...stated, threads: 1 }, quiet),
    says: /job\.yaml, line 4: scatter\n {2}There is nothing to simulate.*Write for example scatter: /,
  },
  {
    refused: "a panel that the job lacks",
    job: LEAST,
    run: (folder) => panelCommand(folder, { ...stated, threads: 1, quick: true }, quiet),
    says: /job\.yaml: panel\n {2}The job has no panel.*panel: \{ rows: 3, columns: 4 \}/,
  },
  {
    refused: "a panel of a pattern that makes none",
    job: `${LEAST.replace("asanoha-square", "own.yaml")}${PANEL}`,
    files: { "own.yaml": SLANTED },
    run: (folder) => panelCommand(folder, { ...stated, threads: 1, quick: true }, quiet),
    says: /job\.yaml, line 1: pattern\n {2}/,
  },
  {
    refused: "a season that the job lacks",
    job: LEAST,
    run: (folder) => seasonCommand(folder, { ...stated, cells: 100 }, quiet),
    says: /job\.yaml: season\n {2}The job has no season.*Write season: \{/,
  },
  {
    refused: "sticks shorter than a piece",
    job: `${FULL}${STOCK}`,
    run: (folder) => cutListCommand(folder, stated, new Date(0), quiet),
    says: /job\.yaml, line \d+: stock\.lengths\n {2}No stick is long enough for one /,
  },
  {
    refused: "tolerances where nothing is trusted to anything",
    job: NO_ERRORS,
    run: (folder) => tolerancesCommand(folder, { ...stated, curve: false }, quiet),
    says: /job\.yaml: set-ups\n {2}There is nothing to make finer.*Write for example trusted-to: 0\.1 mm/,
  },
  {
    refused: "a plan without set-ups",
    job: LEAST,
    run: (folder) => planCommand(folder, { aim: "moves", seed: 1 } as never, quiet),
    says: /job\.yaml: set-ups\n {2}There is nothing to plan with/,
  },
  {
    refused: "a plan without instruments",
    job: FULL.replace(/^instruments:\n(?: {2}.*\n)+/m, ""),
    run: (folder) => planCommand(folder, { aim: "moves", seed: 1 } as never, quiet),
    says: /job\.yaml: instruments\n {2}There is nothing to plan with/,
  },
  {
    refused: "an explanation without a cell read",
    job: FULL,
    files: {
      "trials.csv": `${HEADING}\nr,1,diagonal-start,none,start-left,angle,,45.1,,,deg,angle-gauge,\n`,
    },
    run: (folder) => explainCommand(folder, { seed: 1 }),
    says: /trials\.csv has no row with the bench “cell”\. Write one such as/,
  },
  {
    refused: "a joint seen that the cell lacks",
    job: FULL,
    run: (folder) => explainCommand(folder, { seed: 1, saw: ["hinge-9 heel open"] }),
    says: /--saw: there is no joint “hinge-9” .*its joints are/,
  },
  {
    refused: "a sight that is none",
    job: FULL,
    run: (folder) => explainCommand(folder, { seed: 1, saw: ["open"] }),
    says: /Write for example: --saw "/,
  },
  {
    refused: "a calibration without readings",
    job: FULL,
    files: { "trials.csv": `${HEADING}\n` },
    run: (folder) => calibrateCommand(folder, { seed: 1 }, quiet),
    says: /trials\.csv has no readings yet/,
  },
  {
    refused: "a card without jigs",
    job: LEAST,
    run: (folder) => cardCommand(folder, { seed: 1, out: join(folder, "card.html") }, quiet),
    says: /job\.yaml names no jigs.*sukima new/,
  },
  {
    refused: "a record of nothing",
    job: FULL,
    files: { "trials.csv": `${HEADING}\n` },
    run: (folder) => recordCommand(folder, { seed: 1, out: join(folder, "jigs.yaml") }, quiet),
    says: /Add readings to .*trials\.csv: sukima plan .* lists the trial pieces to cut/,
  },
  {
    refused: "a gauge study of one part",
    files: { "gauge.csv": "part,value\n1,44.1\n1,44.2\n" },
    given: "gauge.csv",
    run: (folder) => gaugeCommand(join(folder, "gauge.csv"), {}),
    says: /gauge\.csv: part\n {2}There are too few parts/,
  },
  {
    refused: "a gauge study out of balance",
    files: { "gauge.csv": "part,value\n1,44.1\n1,44.2\n2,44.1\n" },
    given: "gauge.csv",
    run: (folder) => gaugeCommand(join(folder, "gauge.csv"), {}),
    says: /gauge\.csv: part\n {2}The study is not balanced/,
  },
  {
    refused: "a gauge study without repeats",
    files: { "gauge.csv": "part,value\n1,44.1\n2,44.1\n" },
    given: "gauge.csv",
    run: (folder) => gaugeCommand(join(folder, "gauge.csv"), {}),
    says: /gauge\.csv: part\n {2}There are no repeated readings/,
  },
  {
    refused: "a batch of one",
    files: { "batch.csv": "length\n44.1\n" },
    given: "batch.csv",
    run: (folder) => batchCommand(join(folder, "batch.csv"), { seed: 1 }),
    says: /batch\.csv: there must be two pieces at least/,
  },
  {
    refused: "a batch all alike",
    files: { "batch.csv": "length\n44.1\n44.1\n" },
    given: "batch.csv",
    run: (folder) => batchCommand(join(folder, "batch.csv"), { seed: 1 }),
    says: /batch\.csv, column length: all pieces read the same.*--deviation/,
  },
  {
    refused: "a mystery's code with a letter wrong",
    job: FULL,
    files: { "mystery.txt": "abc-1234\n", "answer.yaml": "answer:\n" },
    run: (folder) => mysteryCommand({ mark: folder } as never),
    says: /first line of the mystery\.txt/,
  },
  {
    refused: "a size that a pattern lacks",
    run: () => patternCommand("asanoha-square", { size: ["height=3 mm"] }),
    says: /There is no such size of asanoha-square.*--size "opening=60 mm"/,
  },
  {
    refused: "a picture in a form that is none",
    job: FULL,
    run: (folder) => seasonCommand(folder, { ...stated, out: "year.gif" }, quiet),
    says: /--out must name a file ending in \.svg or \.png/,
  },
];

async function refusalOf(run: () => unknown): Promise<unknown> {
  try {
    await run();
  } catch (error) {
    return error;
  }
  return undefined;
}

describe("a refusal names its file and key, or its option, and what to write", () => {
  it.each(CASES)("$refused", async ({ job, files = {}, run, given, says }) => {
    const folder = inFolder({ ...(job === undefined ? {} : { "job.yaml": job }), ...files });
    const error = await refusalOf(() => run(folder));
    const { message, code } = failure(error, {
      of: (key) => placeOf(given ? join(folder, given) : folder, key),
      said: (text) => text,
    });
    expect(message).toMatch(says);
    expect(message).toMatch(/\.yaml|\.csv|\.txt|--[a-z]/);
    expect(message).not.toMatch(/\d\.\d{8,}/);
    expect([EXIT.refused, EXIT.usage]).toContain(code);
  });
});

describe("the place of a key", () => {
  const folder = inFolder({ "job.yaml": `${LEAST}panel:\n  rows: 3\n` });
  it.each([
    [["panel", "rows"], "job.yaml, line 5: panel.rows"],
    [["panel", "columns"], "job.yaml, line 5: panel.columns"],
    [["season"], "job.yaml: season"],
    [[], "job.yaml"],
  ])("%j is %s", (key, place) => expect(placeOf(folder, key)).toBe(join(folder, place)));

  it("of a file that cannot be read is the file", () => {
    expect(placeOf(join(folder, "nothing"), ["strip"])).toBe(`${join(folder, "nothing")}: strip`);
  });
});
