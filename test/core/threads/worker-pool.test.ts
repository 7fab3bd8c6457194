import { existsSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { BlockWork } from "../../../src/core/threads/pool-thread.js";
import type { PoolOptions, WorkerPool } from "../../../src/core/threads/worker-pool.js";

/** Threads run from the built files: a thread cannot load TypeScript. */
const built = join(import.meta.dirname, "../../../dist-checks/src/core/threads/worker-pool.js");
const module = new URL("./support/counting-work.mjs", import.meta.url);

interface Task {
  readonly failAt?: number;
  readonly hangAt?: number;
}

async function poolOf(task: Task, options: PoolOptions): Promise<WorkerPool<Task, number, number>> {
  if (!existsSync(built)) throw new Error("This test runs the built files: npm run build:checks first.");
  const { WorkerPool: Pool } = (await import(built)) as { WorkerPool: typeof WorkerPool };
  const { countingWork } = (await import(module.href)) as {
    countingWork: (task: Task) => BlockWork<number, number>;
  };
  return new Pool({ start: countingWork, module, task }, options);
}

const squares = (count: number): number[] => Array.from({ length: count }, (_, k) => k * k);
const sum = (counts: readonly number[]): number => counts.reduce((a, b) => a + b, 0);

describe("a worker pool", () => {
  it.each([{ threads: 1 }, { threads: 3 }, { threads: 2, callerWorks: false }])(
    "does every block once and keeps the rows in their order: %o",
    async (options) => {
      const pool = await poolOf({}, options);
      try {
        await pool.work(40);
        expect(pool.rows).toEqual(squares(40));
        await pool.work(60);
        expect(pool.rows).toEqual(squares(60));
        const totals = await pool.totals();
        expect(totals).toHaveLength(options.threads);
        expect(sum(totals)).toBe(60);
      } finally {
        await pool.close();
      }
    },
  );

  it("finishes what is begun when it is stopped, and leaves no gap", async () => {
    const pool = await poolOf({}, { threads: 2 });
    try {
      let most = 0;
      await pool.work(100_000, (begun) => {
        most = begun;
        if (begun >= 20) pool.stop();
      });
      expect(pool.rows).toEqual(squares(pool.rows.length));
      expect(pool.rows.length).toBeGreaterThanOrEqual(20);
      expect(pool.rows.length).toBeLessThan(100_000);
      expect(most).toBeGreaterThanOrEqual(20);
      expect(sum(await pool.totals())).toBe(pool.rows.length);
    } finally {
      await pool.close();
    }
  });

  it.each([{ threads: 1 }, { threads: 1, callerWorks: false }])(
    "passes on a user error with its message and code: %o",
    async (options) => {
      const pool = await poolOf({ failAt: 3 }, options);
      try {
        await expect(pool.work(10)).rejects.toMatchObject({
          name: "UserError",
          message: "Block 3 cannot be done.",
          code: "seating",
          stack: expect.stringContaining("counting-work.mjs"),
        });
      } finally {
        await pool.close();
      }
    },
  );

  it("says which function a module lacks", async () => {
    await poolOf({}, { threads: 1 });
    const { WorkerPool: Pool } = (await import(built)) as { WorkerPool: typeof WorkerPool };
    const missing = (): BlockWork<number, number> => ({ work: (block) => block, total: () => 0 });
    const pool = new Pool({ start: missing, module, task: {} }, { threads: 1, callerWorks: false });
    try {
      await expect(pool.work(1)).rejects.toThrow('exports no function "missing"');
    } finally {
      await pool.close();
    }
  });

  it("is ended whatever its threads are at", async () => {
    const pool = await poolOf({ hangAt: 1 }, { threads: 1, callerWorks: false });
    const work = pool.work(5, () => void pool.close());
    await expect(work).rejects.toThrow("ended early");
    expect(pool.rows).toEqual([0]);
  });
});
