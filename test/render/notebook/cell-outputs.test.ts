import { expect, it } from "vitest";
import { cellLine } from "../../../src/render/notebook/cell-outputs.js";

// What tslab 1.0.22 made of the text in `source`: types and blank lines are gone, lines are added.
const source = `interface A { x: number }
type B = {
  a: string;
};
import { readFileSync } from "node:fs";

const a: A = { x: 1 };
// a comment
function f(n: number): number {
  if (n > 0)
    throw new RangeError("too big");
  return n;
}
f(1);
f(1);`;
const code = `(function(exports, require) { Object.defineProperty(exports, "__esModule", { value: true });
exports.a = exports.readFileSync = exports.f = exports.tsLastExpr = void 0;
const node_fs_1 = require("node:fs");
Object.defineProperty(exports, "readFileSync", { enumerable: true, get: function () { return node_fs_1.readFileSync; } });
const a = { x: 1 };
exports.a = a;
// a comment
function f(n) {
    if (n > 0)
        throw new RangeError("too big");
    return n;
}
exports.f = f;
f(1);
exports.tsLastExpr = f(1);

})(__tslab__.exports, __tslab__.require)`;
const scripts = [
  { name: "cell-script-1.js", code, cell: 4, source },
  { name: "cell-script-2.js", code: "(function() {\ng();\n})()", cell: 5, source: "\n\ng();" },
];

const at = (line: number, script = 1) => `    at f (cell-script-${script}.js:${line}:7)`;

it.each([
  [5, 7],
  [9, 10],
  [10, 11],
  [11, 12],
  [14, 14],
  [15, 15],
])("line %i of the JavaScript is line %i of the cell", (made, own) => {
  expect(cellLine(at(made), scripts, 4)).toEqual({ cell: 4, line: own });
});

it("prefers the call in the running cell to the place inside an earlier one", () => {
  expect(cellLine(`${at(10)}\n${at(2, 2)}`, scripts, 5)).toEqual({ cell: 5, line: 3 });
});

it("names the cell an error in the background came from", () => {
  expect(cellLine(at(10), scripts, 5)).toEqual({ cell: 4, line: 11 });
});

it("knows nothing of calls elsewhere", () => {
  expect(cellLine("    at g (file:///x/y.js:3:1)", scripts, 4)).toBeNull();
  expect(cellLine(at(10, 9), scripts, 4)).toBeNull();
});
