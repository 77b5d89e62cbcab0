// The choice of the tick's sound and loudness on a page, and a click to judge it by. Both pages have the same two fields;
// which tick sounds is theirs.

/**
 * @param {Document} page with a select "tick-sound" and a range "tick-volume"
 * @param {import("./tick-settings.js").TickSettings} settings
 * @param {() => import("./tick.js").Tick | null} tickNow
 * @returns {() => void} gives a tick that was just made what is chosen
 */
export function wireTickChoices(page, settings, tickNow) {
  const sound = /** @type {HTMLSelectElement} */ (page.getElementById("tick-sound"));
  const volume = /** @type {HTMLInputElement} */ (page.getElementById("tick-volume"));
  const apply = () => {
    tickNow()?.setSound(settings.sound);
    tickNow()?.setVolumeDb(settings.volumeDb);
  };
  const chosen = () => {
    apply();
    tickNow()?.tryOut();
  };
  sound.value = settings.sound;
  volume.value = String(settings.volumeDb);
  sound.addEventListener("change", () => {
    settings.choose(sound.value);
    chosen();
  });
  volume.addEventListener("change", () => {
    settings.setVolumeDb(Number(volume.value));
    chosen();
  });
  return apply;
}
