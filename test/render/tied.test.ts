import { expect, it } from "vitest";
import { tied } from "../../src/render/html.js";

const shown = (text: string): string => tied(text).replaceAll("\u00A0", "~");

it.each([
  ["−0.17 mm ± 0.03 mm.", "−0.17~mm~±~0.03~mm."],
  ["0.63° ± 0.15°", "0.63°~±~0.15°"],
  ["2 3/8 in − 0.0012 in", "2 3/8~in −~0.0012~in"],
  ["U = 0.05 mm (k = 2, 95 %)", "U~=~0.05~mm (k~=~2, 95~%)"],
  ["of 10 trials in 2 rounds", "of 10 trials in 2 rounds"],
  ["over 20 inches of stock", "over 20 inches of stock"],
])("keeps figures with their units: %s", (text, wanted) => {
  expect(shown(text)).toBe(wanted);
});
