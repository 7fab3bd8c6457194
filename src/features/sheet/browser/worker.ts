import { type SheetAnswer, type SheetPlan, sheetAnswer, sheetPlan } from "../answer.js";
import { type HeldFiles, holdFiles } from "./memory-files.js";

/** What the page asks of the thread that computes. */
export interface SheetTask {
  readonly what: "fit" | "plan";
  readonly folder: string;
  readonly files: HeldFiles;
  readonly seed: number;
}

/** What the thread tells: a step begun, the result, or why there is none. */
export type SheetMessage =
  | { readonly step: string }
  | { readonly answer: SheetAnswer }
  | { readonly plan: SheetPlan }
  | { readonly fault: string };

/** The global scope of a dedicated worker, as far as it is used here. */
interface WorkerScope {
  postMessage(message: SheetMessage): void;
  onmessage: ((event: { readonly data: SheetTask }) => void) | null;
}

/** Answers every task that the page posts. */
export function serveTasks(): void {
  const scope = globalThis as unknown as WorkerScope;
  const onStep = (step: string): void => scope.postMessage({ step });
  scope.onmessage = ({ data: { what, folder, files, seed } }) => {
    holdFiles(folder, files);
    try {
      scope.postMessage(
        what === "fit" ? { answer: sheetAnswer(".", seed, onStep) } : { plan: sheetPlan(".", seed, onStep) },
      );
    } catch (error) {
      scope.postMessage({ fault: error instanceof Error ? error.message : String(error) });
    }
  };
}

/** Starts a thread on a task; it has the page's own script. The function returned ends it at once. */
export function startTask(task: SheetTask, onMessage: (message: SheetMessage) => void): () => void {
  const code = document.getElementById("code")?.textContent ?? "";
  const address = URL.createObjectURL(new Blob([code], { type: "text/javascript" }));
  const worker = new Worker(address);
  const end = (): void => {
    worker.terminate();
    URL.revokeObjectURL(address);
  };
  worker.onmessage = ({ data }: MessageEvent<SheetMessage>) => {
    if (!("step" in data)) end();
    onMessage(data);
  };
  worker.onerror = ({ message }) => {
    end();
    onMessage({ fault: `The calculation ended early: ${message}` });
  };
  worker.postMessage(task);
  return end;
}
