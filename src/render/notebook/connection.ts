import { randomBytes } from "node:crypto";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { type AddressInfo, createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { isRunning } from "../../core/file-group.js";

/** How the runner and the kernel talk: through files in a private folder (`ipc`) or through local ports (`tcp`). */
export type Transport = "ipc" | "tcp";

/** A file path longer than this does not fit a Unix socket address (108 bytes on Linux, 104 on macOS). */
const LONGEST_SOCKET_PATH = 100;

/** The connection file of the Jupyter wire protocol, and where it lies. */
export interface Connection {
  /** The connection file. */
  readonly file: string;
  /** Key of the message signatures, HMAC-SHA256. */
  readonly key: string;
  readonly shell: string;
  readonly iopub: string;
  /** Removes the folder with the connection file and the sockets. */
  readonly remove: () => void;
}

/** Writes a connection file that only this user can read. */
export async function openConnection(wanted?: Transport): Promise<Connection> {
  removeLeftFolders();
  const folder = mkdtempSync(join(tmpdir(), `${FOLDER}${process.pid}-`));
  const remove = () => rmSync(folder, { recursive: true, force: true });
  try {
    const socket = join(folder, "k");
    const fits = process.platform !== "win32" && socket.length + 2 <= LONGEST_SOCKET_PATH;
    const transport = wanted ?? (fits ? "ipc" : "tcp");
    const ports = transport === "ipc" ? [1, 2, 3, 4, 5] : await freePorts(5);
    const [shell_port, iopub_port, stdin_port, control_port, hb_port] = ports;
    const ip = transport === "ipc" ? socket : "127.0.0.1";
    const key = randomBytes(32).toString("hex");
    const file = join(folder, "connection.json");
    const content = { transport, ip, shell_port, iopub_port, stdin_port, control_port, hb_port, key };
    const signed = { ...content, signature_scheme: "hmac-sha256", kernel_name: "tslab" };
    writeFileSync(file, JSON.stringify(signed), { mode: 0o600 });
    const at = (port: number | undefined) => `${transport}://${ip}:${port}`;
    return { file, key, shell: at(shell_port), iopub: at(iopub_port), remove };
  } catch (error) {
    remove();
    throw error;
  }
}

/** How the names of the private folders begin; the runner's process follows. */
const FOLDER = "sukima-kernel-";

/** Removes the folders that runners which were killed have left, with the keys in them. */
function removeLeftFolders(): void {
  for (const name of readdirSync(tmpdir())) {
    const pid = /^(\d+)-\w{6}$/.exec(name.startsWith(FOLDER) ? name.slice(FOLDER.length) : "")?.[1];
    if (pid === undefined || isRunning(Number(pid))) continue;
    try {
      rmSync(join(tmpdir(), name), { recursive: true, force: true });
    } catch {
      // It is another user's.
    }
  }
}

async function freePorts(count: number): Promise<number[]> {
  const servers = await Promise.all(
    Array.from({ length: count }, async () => {
      const server = createServer();
      await new Promise<void>((resolve, reject) => {
        server.once("error", reject).listen(0, "127.0.0.1", resolve);
      });
      return server;
    }),
  );
  const ports = servers.map((server) => (server.address() as AddressInfo).port);
  await Promise.all(servers.map((server) => new Promise((resolve) => server.close(resolve))));
  return ports;
}

type Undo = () => void;

const undos = new Set<Undo>();
const SIGNALS = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/**
 * Has `undo` run if this process ends, by itself or by a signal, before the returned function is called. `undo` must
 * be synchronous; one that throws does not keep the others from running.
 */
export function onEarlyEnd(undo: Undo): () => void {
  if (undos.size === 0) install();
  undos.add(undo);
  return () => {
    if (undos.delete(undo) && undos.size === 0) uninstall();
  };
}

function runAll(): void {
  for (const undo of undos) {
    try {
      undo();
    } catch {
      // The process is ending: the next one still has its turn.
    }
  }
  undos.clear();
  uninstall();
}

/** Cleans up, then lets the signal do what it would have done without this file. */
function onSignal(signal: NodeJS.Signals): void {
  runAll();
  if (process.listenerCount(signal) === 0) process.kill(process.pid, signal);
}

function install(): void {
  process.on("exit", runAll);
  for (const signal of SIGNALS) process.on(signal, onSignal);
}

function uninstall(): void {
  process.off("exit", runAll);
  for (const signal of SIGNALS) process.off(signal, onSignal);
}
