//! A player's device without a browser: sound in, protocol over a socket.
