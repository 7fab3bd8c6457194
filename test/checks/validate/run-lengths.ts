import {
  ewmaCreepLength,
  ewmaRunLength,
  ewmaSilence,
  ewmaWidth,
  individualsCreepLength,
} from "../../../src/features/batch/control-charts.js";
import { type Check, compareRows, type Origin, printedTo, published, type Row } from "./check.js";

/** A figure as it is printed: its last digit may be a zero. */
type Print = string;
interface Table {
  document: string;
  place: string;
}
interface File {
  crowder1987: Table & {
    width: number;
    weights: [number, number];
    rows: [number, Print | null, Print | null][];
  };
  lucasSaccucci1990: Table & { charts: { weight: number; width: number }[]; rows: [number, ...Print[]][] };
  waldmann1986: Table & { rows: [weight: number, Print][] };
  steiner1999: Table & { weight: number; width: number; rows: [number, Print][] };
  rhoads1996: Table & { weight: number; width: number; rows: [number, Print][] };
  gan1991: Table & { charts: { weight: number; limit: number }[]; rows: [number, ...Print[]][] };
  gan1993: Table & { rows: [weight: number, limit: number][]; median: number };
  crowder1989: Table & { runLength: number; rows: [weight: number, Print][] };
  aerne1991: Table & {
    charts: { weight: number; width: number }[];
    individualsLimit: number;
    rows: [number, ...Print[]][];
  };
}

/** Average run lengths of the batch charts against those of the papers that first gave them. */
export function checks(): Check[] {
  const file = published<File>("run-lengths");
  return [...shifts(file), ...approximate(file), ...designs(file), ...drifts(file)];
}

const origin = ({ document, place }: Table): Origin => ({ document, place, kind: "printed" });
const decimals = (print: Print): number => print.split(".")[1]?.length ?? 0;
/** A little more than half a unit of the last digit: the papers solved their equations on a grid. */
const near = (print: Print): number => 1.2 * printedTo(decimals(print));

function shifts({ crowder1987, lucasSaccucci1990, waldmann1986 }: File): Check[] {
  const row = (id: string, print: Print, weight: number, width: number, shift: number): Row => [
    id,
    `pieces until an EWMA chart signals, weight ${weight}, width ${Number(width.toFixed(3))}, mean off by ${shift} standard deviations`,
    Number(print),
    ewmaRunLength(weight, width, shift),
    near(print),
  ];
  return [
    ...compareRows(
      "run-length-crowder",
      origin(crowder1987),
      crowder1987.rows.flatMap(([shift, ...prints]) =>
        prints.flatMap((print, k) => {
          const weight = crowder1987.weights[k]!;
          return print === null ? [] : [row(`${weight}-${shift}`, print, weight, crowder1987.width, shift)];
        }),
      ),
    ),
    ...compareRows(
      "run-length-lucas",
      origin(lucasSaccucci1990),
      lucasSaccucci1990.rows.flatMap(([shift, ...prints]) =>
        prints.map((print, k) => {
          const { weight, width } = lucasSaccucci1990.charts[k]!;
          return row(`${weight}-${shift}`, print, weight, width, shift);
        }),
      ),
    ),
    ...compareRows(
      "run-length-waldmann",
      origin(waldmann1986),
      waldmann1986.rows.map(([weight, print]) =>
        row(String(weight), print, weight, 2 * Math.sqrt((2 - weight) / weight), 0),
      ),
    ),
  ];
}

/** Their authors put the average on a coarse grid of states: within 1.5 %, or a unit of the last digit. */
function approximate({ steiner1999, rhoads1996 }: File): Check[] {
  return (["run-length-steiner", "run-length-rhoads"] as const).flatMap((group, k) => {
    const table = [steiner1999, rhoads1996][k]!;
    const rows = table.rows.map(([shift, print]): Row => {
      const quantity = `pieces until an EWMA chart signals, weight ${table.weight}, width ${table.width}, mean off by ${shift} (a coarse approximation)`;
      const tolerance = Math.max(0.015 * Number(print), 2 * printedTo(decimals(print)));
      return [
        String(shift),
        quantity,
        Number(print),
        ewmaRunLength(table.weight, table.width, shift),
        tolerance,
      ];
    });
    return compareRows(group, origin(table), rows);
  });
}

function designs({ crowder1989, gan1993 }: File): Check[] {
  return [
    ...compareRows(
      "ewma-width",
      origin(crowder1989),
      crowder1989.rows.map(
        ([weight, print]): Row => [
          String(weight),
          `width of an EWMA chart of weight ${weight} with a false alarm in ${crowder1989.runLength} pieces`,
          Number(print),
          ewmaWidth(weight, crowder1989.runLength),
          near(print),
        ],
      ),
    ),
    ...compareRows(
      "ewma-median",
      origin(gan1993),
      gan1993.rows.map(([weight, limit]): Row => {
        const silence = ewmaSilence(weight, limit / Math.sqrt(weight / (2 - weight)), () => 0);
        const median = silence.findIndex((chance) => chance <= 0.5);
        const quantity = `median pieces until an EWMA chart of weight ${weight} and limit ${limit} (three digits, so within 2 %) gives a false alarm`;
        return [String(weight), quantity, gan1993.median, median, 0.02 * gan1993.median];
      }),
    ),
  ];
}

/** The mean creeps on from piece to piece. Printed to three or four digits of a finite grid of states: within half a per cent, or a unit of the last digit. */
function drifts({ gan1991, aerne1991 }: File): Check[] {
  const close = (print: Print): number => Math.max(0.005 * Number(print), 2.4 * printedTo(decimals(print)));
  const ewma = (drift: number, weight: number, width: number, print: Print, ours: number): Row => [
    `${weight}-${drift}`,
    `pieces until an EWMA chart signals, weight ${weight}, width ${Number(width.toFixed(3))}, mean creeping by ${drift} a piece`,
    Number(print),
    ours,
    close(print),
  ];
  return [
    ...compareRows(
      "run-length-gan",
      origin(gan1991),
      gan1991.rows.flatMap(([drift, ...prints]) =>
        prints.map((print, k) => {
          const { weight, limit } = gan1991.charts[k]!;
          const width = limit / Math.sqrt(weight / (2 - weight));
          // The first piece has not drifted yet.
          const silence = ewmaSilence(weight, width, (piece) => drift * (piece - 1));
          const length = silence.reduce((sum, chance) => sum + chance, 0);
          return ewma(drift, weight, width, print, length);
        }),
      ),
    ),
    ...compareRows(
      "run-length-aerne",
      origin(aerne1991),
      aerne1991.rows.flatMap(([drift, ...prints]) =>
        prints.map((print, k): Row => {
          const chart = aerne1991.charts[k];
          if (chart) {
            const length = ewmaCreepLength(chart.weight, chart.width, drift);
            return ewma(drift, chart.weight, chart.width, print, length);
          }
          const length = individualsCreepLength(drift, aerne1991.individualsLimit);
          const quantity = `pieces until a chart of single pieces signals, limits at ${aerne1991.individualsLimit}, mean creeping by ${drift} a piece`;
          return [`single-${drift}`, quantity, Number(print), length, close(print)];
        }),
      ),
    ),
  ];
}
