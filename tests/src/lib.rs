//! Harness for whole-system tests: a server on a free port, players and conductors over real sockets.

#![forbid(unsafe_code)]

pub mod chromium;
mod devices;
pub mod faults;
pub mod figures;
pub mod five_years;
pub mod flac_file;
pub mod flashes;
pub mod frames;
pub mod killing;
pub mod line;
pub mod load;
pub mod page_times;
pub mod practice;
pub mod process;
pub mod records;
pub mod request;
mod server;
pub mod session_file;
pub mod shared_beat;
pub mod wasm_sources;
pub mod wave_file;

pub use devices::{Conductor, Player, batch, hello, reading};
pub use server::{TestServer, new_data_dir, serve_config};
