import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import type { Page } from "playwright-core";

/** What an accessibility checker finds wrong with a page as it stands: one line a fault. */
export async function accessibilityFaults(page: Page): Promise<string[]> {
  const source = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
  await page.evaluate(source);
  const found = (await page.evaluate("axe.run(document, { resultTypes: ['violations'] })")) as {
    violations: { id: string; help: string; nodes: { html: string }[] }[];
  };
  return found.violations.flatMap(({ id, help, nodes }) =>
    nodes.map(({ html }) => `${id}: ${help}: ${html.slice(0, 120)}`),
  );
}
