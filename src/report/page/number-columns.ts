import type { Token } from "markdown-it";

/** A number with sign, uncertainty and a short unit, or a dash where there is none. */
const NUMBER =
  /^(?:[<>≤≥≈~]\s?)?[+−±-]?\d[\d\s.,]*(?:\s?±\s?[\d.,]+)?(?:\s?[%°′″]|\s(?:mm|µm|cm|m|in|rad|mrad|s|ms|min|h))?$|^[–—−-]$/u;

/** Gives the cells of table columns that hold numbers only the class `number`, unless the table says how to align. */
export function numberColumns(tokens: readonly Token[]): void {
  let columns: Token[][] = [];
  let column = 0;
  const isNumber = new Map<Token, boolean>();
  for (const [i, token] of tokens.entries()) {
    if (token.type === "table_open") columns = [];
    else if (token.type === "tr_open") column = 0;
    else if (token.type === "th_open" || token.type === "td_open") {
      columns[column] ??= [];
      columns[column++]!.push(token);
      isNumber.set(token, NUMBER.test(tokens[i + 1]?.content.replaceAll(/[*_`]/g, "").trim() ?? ""));
    } else if (token.type === "table_close")
      for (const cells of columns) {
        const body = cells.filter(({ type }) => type === "td_open");
        const aligned = cells.some((cell) => cell.attrGet("style") !== null);
        if (aligned || body.length === 0 || !body.every((cell) => isNumber.get(cell))) continue;
        for (const cell of cells) cell.attrJoin("class", "number");
      }
  }
}
