//! Makes the certificate for the room and keeps its keys.
