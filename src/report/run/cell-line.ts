/** A cell of which JavaScript was made, with the text before and after. */
export interface CellScript {
  /** The name the script has in stack traces. */
  readonly name: string;
  readonly code: string;
  /** Which code cell it is, counted from 1. */
  readonly cell: number;
  /** The cell's own text. */
  readonly source: string;
}

/** A line of a cell, both counted from 1. */
export interface CellLine {
  readonly cell: number;
  readonly line: number | null;
}

const FRAME = /(cell-script-\d+\.js):(\d+):\d+/g;

/**
 * Where in the notebook an error came from: the innermost call that lies in the cell that was running, or, when no
 * call does, in any cell.
 *
 * @param stack the error as printed, with its stack
 */
export function cellLine(stack: string, scripts: readonly CellScript[], running: number): CellLine | null {
  const frames = [...stack.matchAll(FRAME)].flatMap(([, name, line]) => {
    const script = scripts.find((candidate) => candidate.name === name);
    return script ? [{ script, line: Number(line) }] : [];
  });
  const frame = frames.find(({ script }) => script.cell === running) ?? frames[0];
  if (frame === undefined) return null;
  const { cell, code, source } = frame.script;
  return { cell, line: lineBefore(frame.line, code, source) };
}

/**
 * The line of `source` that line `line` of the JavaScript made of it came from. tslab makes no source map, so the two
 * texts are laid side by side: of all pairings that keep the order, the one whose lines have most words in common.
 */
function lineBefore(line: number, code: string, source: string): number | null {
  const made = code.split("\n").map(words);
  const own = source.split("\n").map(words);
  // best[i][j]: the score of the first i made lines against the first j of the cell's own.
  const best = Array.from({ length: made.length + 1 }, () => new Float64Array(own.length + 1));
  for (let i = 1; i <= made.length; i++)
    for (let j = 1; j <= own.length; j++)
      best[i]![j] = Math.max(
        best[i - 1]![j]!,
        best[i]![j - 1]!,
        best[i - 1]![j - 1]! + likeness(made[i - 1]!, own[j - 1]!),
      );
  for (let i = made.length, j = own.length; i > 0 && j > 0; ) {
    if (best[i]![j] === best[i]![j - 1]) j--;
    else if (best[i]![j] === best[i - 1]![j]) i--;
    else if (i <= line) return j;
    else {
      i--;
      j--;
    }
  }
  return null;
}

const ADDED = new Set(["exports", "tsLastExpr"]);

const words = (line: string): string[] =>
  (line.match(/[A-Za-z_$][\w$]*|\d[\w.]*/g) ?? []).filter((word) => !ADDED.has(word));

/** Words in common, times their share of all words: long matches count more than short ones. */
function likeness(a: readonly string[], b: readonly string[]): number {
  const left = [...b];
  let common = 0;
  for (const word of a) {
    const at = left.indexOf(word);
    if (at < 0) continue;
    left.splice(at, 1);
    common++;
  }
  return common === 0 ? 0 : (2 * common * common) / (a.length + b.length);
}
