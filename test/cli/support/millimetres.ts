/** What a reader sees of a page or drawing: no tags, no style sheets, no scripts, no data, no code of a notebook's cells. */
const seen = (text: string): string =>
  text
    .replaceAll(/<(style|script)\b[\s\S]*?<\/\1>/g, " ")
    .replaceAll(/<summary>Code \d+<\/summary><pre[\s\S]*?<\/pre>/g, " ")
    .replaceAll(/(?:data|https?):[^"')\s]+/g, " ")
    .replaceAll(/<[^>]*>/g, " ");

/** Lengths are taken in either unit, and the head of a file says how they may be written; a lesson for both units gives the inch in brackets. */
const ALLOWED =
  /Lengths may be written|the unit of the shop|mm or in\b|in, mm|a length is in mm, cm| mm \([\d.]+ thou\)/;

/** Every line in which millimetres are named that no one asked for. */
export const millimetres = (text: string): string[] =>
  seen(text)
    .split("\n")
    .filter((line) => !ALLOWED.test(line))
    .filter((line) => /(?:\d ?|\(|\bin )(?:mm|µm)\b|\bmillimet/i.test(line))
    .map((line) => line.trim().slice(0, 200));
