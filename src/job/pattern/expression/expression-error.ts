import { Refusal } from "../../refusal.js";

/** An expression that cannot be read or worked out: what is wrong, and what would be right. */
export class ExpressionError extends Refusal {
  override readonly name = "ExpressionError";
}
