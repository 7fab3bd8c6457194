/** An expression that cannot be read or worked out: what is wrong, and what would be right. */
export class ExpressionError extends Error {
  override readonly name = "ExpressionError";
  readonly problem: string;
  readonly rule: string;

  constructor(problem: string, rule: string) {
    super(`${problem}; ${rule}`);
    this.problem = problem;
    this.rule = rule;
  }
}
