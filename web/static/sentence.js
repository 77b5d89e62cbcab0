// What the server or a browser says, as a sentence on a page. Knows no page.

/**
 * With a capital first and a full stop last; nothing stays nothing.
 * @param {string} text @returns {string}
 */
export function asSentence(text) {
  const said = text.trim();
  if (said === "") return "";
  return `${said.charAt(0).toUpperCase()}${said.slice(1)}${/[.?!:\u2026]["\u201d\u2019]?$/.test(said) ? "" : "."}`;
}
