import { escapeHtml } from "../../text/escape-html.js";
import { tied } from "../../text/tied.js";
import type { CardSheet, SheetJig } from "./card-sheet.js";
import type { SheetLine } from "./sheet-lines.js";
import { sheetScale } from "./sheet-scale.js";
import { sheetStyle } from "./sheet-style.js";

const POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";
const TO_DO = new Set(["adjust", "measure first"]);

/** The card as a page of its own that prints on one side of a sheet: no scripts, nothing loaded, every text of the job inert. */
export function sheetHtml(sheet: CardSheet): string {
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${POLICY}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeHtml(`Set-up card: ${sheet.title}`)}</title>
<style>${sheetStyle(sheet.paper, sheetScale(sheet))}</style>
</head>
<body>
<main>
<header><h1>${escapeHtml(sheet.title)}</h1>
<p>Set-up card of ${escapeHtml(tied(`${sheet.date}. ${sheet.cell}. ${sheet.basis}`))}</p></header>
${sheet.jigs.map(jigHtml).join("\n")}
${outlookHtml(sheet)}
<section class="care"><h2>Take care</h2><ul>${items(sheet.cautions)}</ul></section>
<p class="notes">${escapeHtml(tied(sheet.notes.join(" ")))}</p>
</main>
</body>
</html>
`;
}

const items = (texts: readonly string[]): string =>
  texts.map((text) => `<li>${escapeHtml(text)}</li>`).join("");

function jigHtml({ name, ramp, stops, toAMark }: SheetJig): string {
  const marked =
    toAMark.length === 0
      ? ""
      : ` <small>first ends, cut to a mark: ${escapeHtml(toAMark.join(", "))}</small>`;
  return `<section class="jig"><h2>${escapeHtml(name)}${marked}</h2>\n${[ramp, ...stops].map(lineHtml).join("\n")}</section>`;
}

function lineHtml({ heading, verdict, state, toDo, drawing }: SheetLine): string {
  const kind = TO_DO.has(verdict) ? "verdict do" : "verdict";
  const said = verdict === "" ? "" : ` <span class="${kind}">${escapeHtml(verdict)}</span>`;
  const boxes = toDo.map((text) => {
    return `<li class="box">${withBlank(tied(text))}</li>`;
  });
  const list = boxes.length === 0 ? "" : `<ul>${boxes.join("")}</ul>`;
  return `<div class="line">${drawing}<div><h3>${escapeHtml(heading)}${said}</h3><p>${escapeHtml(tied(state))}</p>${list}</div></div>`;
}

/** After a colon a line to write on, never parted from its last words. */
function withBlank(text: string): string {
  const [, before, last] = /^(.*?)((?:It reads|[^ ]+):)$/.exec(text) ?? [];
  if (last === undefined) return escapeHtml(text);
  return `${escapeHtml(before!)}<span class="write">${escapeHtml(last)} <span class="blank"></span></span>`;
}

function outlookHtml({ outlook }: CardSheet): string {
  if (outlook.length === 0) return "";
  const rows = outlook.map(
    ([what, before, after]) =>
      `<tr><th scope="row">${escapeHtml(what)}</th><td>${escapeHtml(before)}</td><td>${escapeHtml(after)}</td></tr>`,
  );
  return `<table class="outlook"><thead><tr><th scope="col">What to expect of a cell</th><th scope="col">as it is</th><th scope="col">after the moves</th></tr></thead><tbody>${rows.join("")}</tbody></table>`;
}
