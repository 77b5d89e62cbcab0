//! What must not be lost: sessions, players and results in SQLite. It must not know rooms or sockets.
