//! Slow and dead devices: whoever stops reading, falls silent or sends a byte a second costs little, holds up nobody and is told or shown in clear
//! words. The waits are the server's own limits, so they run side by side; no test asserts a time.

mod growth;
mod silent;
mod slow_requests;
mod stopped;
