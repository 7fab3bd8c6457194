/** Keeps a number with its unit, its `±` and its `=` on one line: the spaces between them no longer break. */
export const tied = (text: string): string =>
  text
    .replaceAll(/(?<=\d) (?=(?:mm|in|thou|%|±)(?![\p{L}]))/gu, "\u00A0")
    .replaceAll(/(?<=[±=≤+−]) (?=\d)/gu, "\u00A0")
    .replaceAll(/(?<=(?:mm|in|thou|°)) (?=±)/gu, "\u00A0")
    .replaceAll(/(?<=\b[Uk]) (?==)/gu, "\u00A0");
