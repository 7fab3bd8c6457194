/** Throws a RangeError in the one shape of this project: what is wrong; the rule; the value; where. */
export function refuse(what: string, rule: string, value: unknown, where: string): never {
  throw new RangeError(`${what}; ${rule}; got ${String(value)}; in ${where}`);
}
