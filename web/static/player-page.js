// The player's page in a rehearsal: joins the room of this server. What a player's device does is player.js's.

import { JoinForm } from "./join-form.js";
import { startPlayer } from "./player.js";
import { somethingWaits } from "./practice-waiting.js";
import { browserSurroundings, socketUrl } from "./room-socket.js";

startPlayer(document, {
  form: (doing) => new JoinForm(document, doing),
  url: socketUrl(location, "/ws/player"),
  surroundings: browserSurroundings,
  arrived: (notice) => {
    // Fetched where it is needed alone: most come with nothing, and all at once.
    if (somethingWaits()) import("./hand-in-page.js").then(({ offerHandIn }) => offerHandIn(document, notice)).catch(() => {});
  },
});
