/** Something that cannot be used: what is wrong, and the rule. Whoever knows its place makes a fault of it. */
export abstract class Refusal extends Error {
  readonly problem: string;
  readonly rule: string;

  constructor(problem: string, rule: string) {
    super(`${problem}; ${rule}`);
    this.problem = problem;
    this.rule = rule;
  }
}
