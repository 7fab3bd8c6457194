import { textTable, wrapped } from "../text/text-table.js";
import type { SetUpCard } from "./set-up-card.js";

const VERDICT = {
  adjust: "ADJUST",
  "leave alone": "leave alone",
  "measure first": "MEASURE FIRST",
  locked: "locked",
  "no adjuster": "no adjuster",
};

/** The card for a terminal, 96 columns wide. */
export function cardText(card: SetUpCard): string {
  const rows = card.rows.map(({ name, error, means, verdict }) => [name, error, means, VERDICT[verdict]]);
  const toDo = card.rows.filter(({ verdict }) => verdict === "adjust" || verdict === "measure first");
  return [
    `SET-UP CARD  ${card.title}`,
    wrapped(card.cell),
    card.date,
    "",
    textTable(["jig or stop", "error now", "meaning", "verdict"], rows, [1]),
    "",
    `Stock: ${card.thickness}`,
    wrapped(card.fit),
    ...card.unseparated.map((text) => wrapped(text)),
    "",
    "WHAT TO DO",
    ...(toDo.length === 0 ? ["  Nothing: leave every jig and stop as it is."] : []),
    ...toDo.flatMap(({ name, action, reason, check }) => [
      wrapped(`${name}: ${action} ${reason}`, 96, "  "),
      ...(check === "" ? [] : [wrapped(`Then check: ${check}`, 96, "    ")]),
    ]),
    ...leftAlone(card).map((text) => wrapped(text, 96, "  ")),
    "",
    "WHAT TO EXPECT OF A CELL",
    textTable(["", "as it is", "after the moves"], card.outlook, [1, 2]),
    "",
    ...card.notes.map((note) => wrapped(note)),
    "",
    "TAKE CARE",
    ...card.cautions.map((caution) => wrapped(caution, 96, "  ")),
    "",
  ].join("\n");
}

/** Why the rest stays as it is. */
export function leftAlone({ rows }: SetUpCard): string[] {
  const names = rows.filter(({ verdict }) => verdict === "leave alone").map(({ name }) => name);
  const reason = rows.find(({ verdict }) => verdict === "leave alone")?.reason;
  return reason ? [`Left alone: ${names.join(", ")}. ${reason}`] : [];
}
