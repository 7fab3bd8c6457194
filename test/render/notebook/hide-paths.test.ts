import { expect, it } from "vitest";
import { hidePaths, type Output } from "../../../src/render/notebook/notebook.js";
import { displayed } from "./build-notebook.js";

const names = [
  { path: "/home/ann", as: "~" },
  { path: "/home/ann/shop/job", as: "$JOB" },
  { path: "/", as: "root" },
];
const hidden = (text: string): unknown => {
  const [output] = hidePaths([{ output_type: "stream", name: "stdout", text: [text] }], names);
  return (output as Extract<Output, { output_type: "stream" }>).text;
};

it.each([
  ["/home/ann/shop/job/a.csv", "$JOB/a.csv"],
  ["in /home/ann, and /home/ann/x", "in ~, and ~/x"],
  ["file:///home/ann/x", "file://~/x"],
  ["/home/anna /other/home/ann 1/2", "/home/anna /other/home/ann 1/2"],
])("writes %s as %s", (text, expected) => expect(hidden(text)).toEqual([expected]));

it("reaches into nested data but not into pictures", () => {
  const data = {
    "application/json": { a: ["/home/ann"] },
    "image/png": "/home/ann",
    "image/svg+xml": "/home/ann",
  };
  expect(hidePaths([displayed(data)], names)).toEqual([
    displayed({ "application/json": { a: ["~"] }, "image/png": "/home/ann", "image/svg+xml": "~" }),
  ]);
});
