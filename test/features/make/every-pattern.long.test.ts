import { shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { checkFitting, checkJigs } from "./support/checks.js";

for (const pattern of shippedPatterns()) {
  checkJigs(pattern, "mm");
  checkJigs(pattern, "in");
  checkFitting(pattern);
}
