import { config } from "zod/v4/core";
import { openSheet } from "./app.js";
import { serveTasks } from "./worker.js";

// The page's policy lets no text be run as code; without this the reader of job files would try to.
config({ jitless: true });

// The page and the thread that computes for it have the same script.
if (typeof document === "undefined") serveTasks();
else openSheet();
