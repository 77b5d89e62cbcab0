// Which messages these pages speak. Knows nothing else.

/** A room refuses another version, and whoever takes in what was practised says which he can read. */
export const PROTOCOL_VERSION = 5;
