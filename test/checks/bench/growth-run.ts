import { cell, inputs } from "./bench-line.js";
import { runTrials } from "./run-trials.js";

/** A run of the growth lines, in a process of its own: node growth-run.js TRIALS. */
const trials = Number(process.argv[2]);
await runTrials(cell, { trials, seed: 1, limits: { gap: 0.1, press: 0.02 }, inputs, threads: 1 });
// Processor time, as in the other lines.
const { user, system } = process.cpuUsage();
const nsPerTrial = (1000 * (user + system)) / trials;
// maxRSS is in units of 1024 bytes.
const megabytes = (process.resourceUsage().maxRSS * 1024) / 1e6;
process.stdout.write(JSON.stringify({ nsPerTrial, megabytes }));
