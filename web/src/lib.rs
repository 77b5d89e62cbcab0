//! A device's side of a room: samples in, protocol messages out.
