/**
 * Has what is thrown outside of any call told like every other fault, and the process ended. A reader that has gone (`| head`) is
 * no fault: the answer is then no longer wanted.
 */
export function outlive(complain: (error: unknown) => void): void {
  const end = (error: unknown): void => {
    complain(error);
    process.exit();
  };
  process.on("uncaughtException", end);
  process.on("unhandledRejection", end);
  for (const stream of [process.stdout, process.stderr])
    stream.on("error", (error: NodeJS.ErrnoException) => {
      if (error.code === "EPIPE") process.exit();
      // The complaints have nowhere to go when their own stream is broken.
      if (stream === process.stderr) process.exit(1);
      end(error);
    });
}
