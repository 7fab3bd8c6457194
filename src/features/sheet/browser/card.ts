import type { Job } from "../../../model/job/job.js";
import { cardSheet, sheetHtml, today } from "../../calibrate/index.js";
import type { SheetAnswer } from "../answer.js";

/**
 * Shows the card, as `sukima card` writes it but without the names of joints after it, in an element with a style of its own.
 *
 * @param job with it, where there is no answer yet, the card has the settings to begin with
 */
export function showCard(host: HTMLElement, answer: SheetAnswer | null, job: Job | null): void {
  const page = answer?.page ?? (job && job.jigs.length > 0 ? sheetHtml(cardSheet(job, null, today())) : "");
  const card = new DOMParser().parseFromString(page, "text/html");
  for (const names of card.querySelectorAll(".names")) names.remove();
  const style = document.createElement("style");
  const rules = card.querySelector("style")?.textContent ?? "";
  // Inside the element its own rules hold for what was the page, and the page has a main part of its own.
  style.textContent = rules
    .replaceAll(/^(:root|html|body) \{/gm, ":host {")
    .replaceAll(/\bmain(?= \{)/g, ".sheet");
  const root = host.shadowRoot ?? host.attachShadow({ mode: "open" });
  const sheet = document.createElement("div");
  sheet.className = "sheet";
  sheet.append(
    ...[...(card.querySelector("main")?.childNodes ?? [])].map((node) => document.importNode(node, true)),
  );
  root.replaceChildren(style, sheet);
  pageSize(/@page \{[^}]*\}/.exec(rules)?.[0] ?? "");
}

/** The size of a sheet holds for a whole page, so it cannot stand in the card's own style. */
function pageSize(rule: string): void {
  const style =
    document.getElementById("page-size") ?? document.head.appendChild(document.createElement("style"));
  style.id = "page-size";
  style.textContent = rule;
}
