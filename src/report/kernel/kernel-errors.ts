/** The kernel did not answer in time. */
export class KernelTimeout extends Error {
  override readonly name = "KernelTimeout";

  /** @param limitMs the time it had, ms */
  constructor(
    readonly limitMs: number,
    readonly log = "",
  ) {
    super(`the kernel did not answer within ${limitMs / 1000} s`);
  }
}

/** The kernel's process has ended. */
export class KernelEnded extends Error {
  override readonly name = "KernelEnded";

  constructor(
    readonly code: number | null,
    readonly killedBy: NodeJS.Signals | null,
    readonly log: string,
  ) {
    super(`the kernel's process ended (${killedBy ?? `exit code ${code}`})`);
  }
}

/** The kernel answered, but not everything it sent has arrived. */
export class KernelLost extends Error {
  override readonly name = "KernelLost";

  constructor() {
    super("a part of what the cell printed was lost on the way from the kernel");
  }
}
