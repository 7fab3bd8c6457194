import type { Edit } from "./edits.js";
import { LOOK_ALIKES } from "./stresses.js";

/** No text grows beyond this, characters: the largest file that is read, and a little more. */
const LONGEST = 6_000_000;

/** The bytes of a text after the edits. */
export function applyEdits(text: string, edits: readonly Edit[]): Uint8Array {
  let now = text;
  let bytes: Uint8Array | null = null;
  for (const edit of edits) {
    if (edit.does === "encode") bytes = encoded(now, edit.as);
    else {
      now = edited(now, edit).slice(0, LONGEST);
      bytes = null;
    }
  }
  return bytes ?? Buffer.from(now, "utf8");
}

function edited(text: string, edit: Exclude<Edit, { does: "encode" }>): string {
  const at = Math.floor(edit.at * text.length);
  switch (edit.does) {
    case "truncate":
      return text.slice(0, at);
    case "cut":
      return text.slice(0, at) + text.slice(at + Math.ceil(edit.length * text.length));
    case "insert":
      return text.slice(0, at) + edit.put + text.slice(at);
    case "copy": {
      const from = Math.floor(edit.from * text.length);
      return (
        text.slice(0, at) + text.slice(from, from + Math.ceil(edit.length * text.length)) + text.slice(at)
      );
    }
    case "line":
      return lines(text, edit);
    case "number":
      return replaced(text, /-?\d+(\.\d+)?/g, edit.at, () => edit.put);
    case "word":
      return replaced(text, /[A-Za-z][\w-]*/g, edit.at, () => edit.put);
    case "value":
      return replaced(text, /(?<=[:,] ?)[^\n,:{}[\]]+/g, edit.at, () => ` ${edit.put}`);
    case "look-alike":
      return replaced(text, /[acdeimnopsxy.,:\-015/'" ]/g, edit.at, (sign) => LOOK_ALIKES[sign]!);
    case "indent":
      return replaced(text, /^ *(?=\S)/gm, edit.at, (indent) =>
        " ".repeat(Math.max(0, indent.length + edit.by)),
      );
    case "rows": {
      const all = text.split("\n");
      const line = `${all[Math.floor(edit.at * all.length)] ?? ""}\n`;
      return `${text}\n${line.repeat(Math.min(edit.times, Math.ceil(LONGEST / line.length)))}`;
    }
  }
}

function lines(text: string, { at, to, way }: Extract<Edit, { does: "line" }>): string {
  const all = text.split("\n");
  const [i, j] = [at, to].map((share) => Math.min(all.length - 1, Math.floor(share * all.length))) as [
    number,
    number,
  ];
  if (way === "gone") all.splice(i, 1);
  else if (way === "twice") all.splice(j, 0, all[i]!);
  else [all[i], all[j]] = [all[j]!, all[i]!];
  return all.join("\n");
}

/** The match at a share of all matches, replaced. */
function replaced(text: string, what: RegExp, share: number, by: (found: string) => string): string {
  const found = [...text.matchAll(what)];
  const match = found[Math.min(found.length - 1, Math.floor(share * found.length))];
  if (match === undefined) return text;
  return text.slice(0, match.index) + by(match[0]) + text.slice(match.index + match[0].length);
}

function encoded(text: string, as: Extract<Edit, { does: "encode" }>["as"]): Uint8Array {
  switch (as) {
    case "utf-16":
      return Buffer.from(`\uFEFF${text}`, "utf16le");
    case "latin-1":
      return Buffer.from(`${text}°é`, "latin1");
    case "mark":
      return Buffer.from(`\uFEFF${text}`, "utf8");
    case "broken":
      return Buffer.concat([Buffer.from(text, "utf8"), Buffer.from([0xc3, 0x28, 0xff])]);
    case "returns":
      return Buffer.from(text.replaceAll("\n", "\r\n"), "utf8");
  }
}
