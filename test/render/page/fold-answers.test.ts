import { expect, it } from "vitest";
import type { NotebookCell } from "../../../src/render/notebook/notebook.js";
import { renderNotebook } from "../../../src/render/page/render-notebook.js";
import { code, displayed, markdown, notebook } from "../notebook/build-notebook.js";

const answer = <Kind extends NotebookCell>(cell: Kind): Kind => ({ ...cell, metadata: { tags: ["answer"] } });
const main = async (...cells: NotebookCell[]): Promise<string> =>
  /<main>([\s\S]*)<\/main>/.exec(await renderNotebook(notebook(...cells)))![1]!.trim();
const shown = displayed({ "text/plain": "0.037 mm" });

it("folds an answer away with its results, and nothing else", async () => {
  const html = await main(markdown("How wide?"), answer(code("w", shown)), markdown("On we go."));
  const [before, inside, after] = html.split(
    /<details class="answer"><summary>Answer<\/summary>|<\/details>\n?(?=<p>On)/,
  );
  expect(before).toContain("How wide?");
  expect(inside).toContain("0.037 mm");
  expect(inside).toContain("<summary>Code");
  expect(after).toContain("On we go.");
  expect(html.match(/0\.037 mm/g)).toHaveLength(1);
});

it("puts neighbouring answers, text and code, into one fold", async () => {
  const html = await main(
    answer(markdown("Because.")),
    answer(code("1")),
    answer(code("2")),
    markdown("x"),
    answer(code("3")),
  );
  expect(html.match(/<summary>Answer</g)).toHaveLength(2);
  expect(html.match(/<details/g)).toHaveLength(2 + 3);
  expect(html.match(/<\/details>/g)).toHaveLength(2 + 3);
});

it("looks at tags alone", async () => {
  const cell = { ...code("1"), metadata: { tags: "answer", answer: true } };
  expect(await main(cell)).not.toContain("Answer");
});
