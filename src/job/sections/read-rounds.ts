import type { Jig, KnownMove, Reference, Round, SetUp } from "../../cutting/shop.js";
import type { Arrangement } from "../../lattice/arrangement.js";
import { benchNames } from "../../lattice/bench-names.js";
import type { LengthUnit } from "../../quantity/index.js";
import type { JobPath, JobSource } from "../file/job-source.js";
import { rampMoveShape, referenceShape, roundShape, stopMoveShape } from "../shape/round-shapes.js";
import { faultSentence } from "../unfit.js";
import { unknownWord } from "../words.js";

type Jigs = ReadonlyMap<string, Jig | null>;

/** The rounds of trials with the known moves before each, in the order of the file. */
export function readRounds(
  source: JobSource,
  unit: LengthUnit,
  jigs: Jigs,
  setUps: readonly SetUp[],
): Round[] {
  return source.entries(["rounds"], "rounds").flatMap(([name, path]): Round[] => {
    if (source.take(path, roundShape) === undefined) return [];
    const stops = setUps.filter(({ stop }) => stop !== null).map((setUp) => setUp.name);
    return [
      { name, moves: [...rampMoves(source, path, unit, jigs), ...stopMoves(source, path, unit, stops)] },
    ];
  });
}

function rampMoves(source: JobSource, path: JobPath, unit: LengthUnit, jigs: Jigs): KnownMove[] {
  const shape = rampMoveShape(unit);
  return source.entries([...path, "ramps"], "moved ramps").flatMap(([name, at]): KnownMove[] => {
    const read = source.take(at, shape);
    if (!known(source, at, "jig in this job", name, [...jigs.keys()]) || read === undefined) return [];
    const { by, shim, "trusted-to": trustedTo } = read;
    const base = jigs.get(name)?.shims?.base;
    if ((by === undefined) === (shim === undefined)) {
      refuse(
        source,
        at,
        name,
        "it does not say how far in one way",
        "give by (an angle) or shim (a thickness), one of the two",
        "by: 0.3 deg",
      );
      return [];
    }
    if (shim !== undefined && base === undefined) {
      refuse(
        source,
        at,
        name,
        "the jig has no base to put a shim on",
        "give the angle it was turned by",
        "by: 0.3 deg",
      );
      return [];
    }
    return [{ source: `ramp of ${name}`, by: by ?? Math.atan(shim! / base!), trustedTo }];
  });
}

function stopMoves(
  source: JobSource,
  path: JobPath,
  unit: LengthUnit,
  stops: readonly string[],
): KnownMove[] {
  const shape = stopMoveShape(unit);
  return source.entries([...path, "stops"], "moved stops").flatMap(([name, at]): KnownMove[] => {
    const read = source.take(at, shape);
    if (!known(source, at, "set-up with a stop", name, stops) || read === undefined) return [];
    return [{ source: `stop of ${name}`, by: read.by, trustedTo: read["trusted-to"] }];
  });
}

/** Benches whose reference the job does not take as perfect. */
export function readReferences(source: JobSource, arrangement: Arrangement): Reference[] {
  const names = benchNames(arrangement).filter((name) => name !== "reversal" && name !== "ring");
  return source.entries(["benches"], "benches").flatMap(([bench, path]): Reference[] => {
    const read = source.take(path, referenceShape);
    if (!known(source, path, "bench with a reference", bench, names) || read === undefined) return [];
    return [{ bench, trustedTo: read["trusted-to"] }];
  });
}

function known(
  source: JobSource,
  path: JobPath,
  kind: string,
  name: string,
  names: readonly string[],
): boolean {
  if (names.includes(name)) return true;
  const [problem, rule] = unknownWord(name, kind, names);
  source.refuseKey(path, faultSentence({ what: kind, problem, rule, value: name }), names[0] ?? "its name");
  return false;
}

function refuse(
  source: JobSource,
  path: JobPath,
  what: string,
  problem: string,
  rule: string,
  example: string,
): void {
  source.refuse(path, faultSentence({ what, problem, rule }), { example });
}
