// Whether anything that was practised waits to be handed in: a number beside the practices themselves, so that a rehearsal's page need not
// open them to know. Knows no practice.

import { recall } from "./kept.js";

/** Where the number is kept. */
export const WAITING = "practices-waiting";

export const somethingWaits = () => Number(recall(WAITING) ?? 0) > 0;
