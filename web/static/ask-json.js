// What the conductor's pages ask the server beside the room's socket. Knows no page.

/** @param {string} path @returns {Promise<any>} null where the server has no answer */
export async function askJson(path) {
  try {
    const answer = await fetch(path, { cache: "no-store" });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
}
