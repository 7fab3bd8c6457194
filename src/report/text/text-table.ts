/** Columns of text, padded to equal width; numbers to the right. */
export function textTable(
  heading: readonly string[],
  rows: readonly (readonly string[])[],
  right: readonly number[] = [],
): string {
  const all = [heading, ...rows];
  const widths = heading.map((_, c) => Math.max(...all.map((row) => lengthOf(row[c] ?? ""))));
  const line = (row: readonly string[]): string =>
    widths
      .map((width, c) => {
        const cell = row[c] ?? "";
        const pad = " ".repeat(width - lengthOf(cell));
        return right.includes(c) ? pad + cell : cell + pad;
      })
      .join("  ")
      .trimEnd();
  return [line(heading), widths.map((width) => "─".repeat(width)).join("  "), ...rows.map(line)].join("\n");
}

const lengthOf = (text: string): number => [...text].length;

/** Text broken at spaces to lines of at most `width`, each with `indent` in front. */
export function wrapped(text: string, width = 96, indent = ""): string {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/)) {
    if (line !== "" && lengthOf(indent + line) + 1 + lengthOf(word) > width) {
      lines.push(indent + line);
      line = word;
    } else line = line === "" ? word : `${line} ${word}`;
  }
  return [...lines, indent + line].join("\n");
}
