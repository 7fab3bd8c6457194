/** Said wherever a job whose pieces are fitted one by one is reckoned without the trimming. */
export const TAKEN_AS_CUT =
  "The job says that pieces are fitted by trial; everything here is reckoned as cut, nothing trimmed.";
