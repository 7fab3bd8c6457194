// Examples of doc comments as a program that runs them all and says, as JSON, which of them do not hold.

/** What examples may use without saying where it comes from, as docs/api.md says at its top. */
export const GIVEN = {
  job: 'loadJob("data/alcove-screen")',
  readings: 'loadTrials("data/alcove-screen", job)',
  calibration: "calibrateJob(job, readings, { draws: 200 })",
};

/** A comment after an expression, or on the line below it, says what it gives: a value, and after a colon perhaps more. */
const RESULT = /^(?!(?:const|let|for) |\w+(?:\[.*\])? [-+]?= )(.*?);? ?\/\/ (.+)$/;

/** The example's statements, with each expression that has a result compared with it. */
function checked(text) {
  const lines = text.replaceAll(/\n\/\/ /g, " // ").split("\n");
  const statements = [];
  let open = "";
  for (const line of lines) {
    const [, expression, result] = RESULT.exec(line) ?? [];
    if (result === undefined || expression === "") open += `${line}\n`;
    else {
      const start = startOfExpression(open);
      statements.push(open.slice(0, start), `same(${open.slice(start)}${expression}, ${JSON.stringify(result)});\n`);
      open = "";
    }
  }
  return [...statements, open].join("");
}

/** Where the expression begins that the text leaves open: after the last line that ends a statement. */
const startOfExpression = (open) => {
  const end = Math.max(open.lastIndexOf(";\n"), open.search(/;[^\n]*\n(?![\s\S]*;)/));
  if (end < 0) return 0;
  return open.indexOf("\n", end) + 1;
};

/**
 * The program for the public names given, to be run where `data` is.
 *
 * @param {readonly { name: string, entry: string, tags: readonly { name: string, text: string }[] }[]} names
 */
export function examplesProgram(names) {
  const runs = names.flatMap(({ name, tags }) =>
    tags
      .filter((tag) => tag.name === "example")
      .map(({ text }) => {
        const used = new Set(Object.keys(GIVEN).filter((one) => new RegExp(`\\b${one}\\b`).test(text)));
        const given = [...used].map((one) => `const ${one} = given.${one};`).join(" ");
        return `await run(${JSON.stringify(name)}, async (same) => { ${given} {\n${checked(text)}} });`;
      }),
  );
  const entries = [...new Set(names.map(({ entry }) => entry))];
  const text = runs.join("\n");
  const imports = entries.map((entry) => {
    const used = names.filter((one) => one.entry === entry && new RegExp(`\\b${one.name}\\b`).test(text) && /declare (function|const|class)/.test(one.declaration));
    const first = used.filter(({ name }) => !names.some((other) => other.name === name && other.entry < entry));
    return `import { ${first.map(({ name }) => name).join(", ")} } from "${entry}";`;
  });
  return `${imports.join("\n")}
import { isDeepStrictEqual } from "node:util";

const kept = {};
const given = {
  get job() { return (kept.job ??= ${GIVEN.job}); },
  get readings() { const { job } = this; return (kept.readings ??= ${GIVEN.readings}); },
  get calibration() { const { job, readings } = this; return (kept.calibration ??= ${GIVEN.calibration}); },
};

function value(text) {
  for (const one of [text, text.slice(0, text.indexOf(": "))]) try { return [eval("(" + one + ")"), one]; } catch {}
  throw new Error("not a value: " + text);
}

/** Numbers agree to the digits that are written. */
function agree(found, text) {
  const [wanted, written] = value(text);
  if (typeof wanted !== "number") return isDeepStrictEqual(found, wanted);
  const [, decimals] = /^-?[\\d_]+(?:\\.(\\d+))?$/.exec(written) ?? [];
  const within = decimals === undefined ? 1e-12 * Math.abs(wanted) : 0.5000001 * 10 ** -decimals.length;
  return typeof found === "number" && Math.abs(found - wanted) <= within;
}

const results = [];
async function run(name, example) {
  const wrong = [];
  let compared = 0;
  const same = (found, text) => { compared++; if (!agree(found, text)) wrong.push("gives " + JSON.stringify(found) + ", not " + text); };
  try { await example(same); } catch (error) { wrong.push(String(error?.stack ?? error)); }
  results.push({ name, compared, wrong });
}

${text}
console.log(JSON.stringify(results));
`;
}
