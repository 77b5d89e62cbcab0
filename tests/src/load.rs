//! A school's worth of load on one server: light players and watching conductors, measured from the moments at which they meant to
//! speak, and beside them a bare relay of the same bytes, measured by the same code in the same run. All of it stays on this computer.
//! What the figures mean stands beside them in `figures`.

mod conductor;
mod figures;
mod idle;
mod knee;
mod meter;
mod pace;
mod performer;
mod place;
mod player;
mod records;
mod relay;
mod session;
mod socket;
mod traffic;

pub use figures::{Figures, shown};
pub use knee::{Knee, find_knee};
pub use relay::serve as serve_as_relay;

use crate::new_data_dir;
use place::{Relay, Windrow};
use records::Kept;
use session::{Taken, play};
use std::path::Path;

/// What is played.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Players, spread over the rooms; a room has 256 chairs at most.
    pub n_players: u32,
    /// Rooms, each with a conductor who watches.
    pub n_rooms: u32,
    /// How long is measured, after the music has begun.
    pub seconds: f64,
    /// More players who are in, ask for the time once a minute, and say nothing.
    pub n_idle: u32,
    /// Over https, with the server's own authority trusted.
    pub tls: bool,
    /// When who speaks, and how the players play.
    pub seed: u64,
}

/// Open files that a process needs beside those of the players' sockets.
const OTHER_FILES: u64 = 200;

/// Lets this process, and those it starts, have as many open files as the load needs; gives back how many there may be.
/// Windows has no such bound.
fn allow_files(load: &Load) -> u64 {
    let wanted =
        u64::from(load.n_players) + u64::from(load.n_idle) + 2 * u64::from(load.n_rooms) + OTHER_FILES;
    // Where it cannot be raised, players who find no file say so in the figures.
    rlimit::increase_nofile_limit(wanted.max(1024)).unwrap_or(wanted)
}

/// Plays it on a server of its own and then on the relay; `program` is the one that `process::be_the_program` is in, and takes
/// `--as-relay` as well; `show` is told how far it is.
///
/// # Panics
/// When a server does not start: nothing can be measured then.
pub async fn run(program: &Path, load: Load, mut show: impl FnMut(&str)) -> Figures {
    let data_dir = new_data_dir();
    let (taken, kept) = play_at_windrow(program, &data_dir, load, &mut show).await;
    if load.n_players == 0 {
        // Nobody said anything that a relay could say again.
        forget(&data_dir);
        return Figures::new(load, &taken, &kept, None);
    }
    show("the records are read; now the relay");
    let relay = Relay::start(program, &data_dir, load, &taken.sample());
    let beside = play(relay.place(), load, relay.id(), &mut show).await;
    drop(relay);
    forget(&data_dir);
    Figures::new(load, &taken, &kept, Some(&beside))
}

/// The same without the relay, whose figures are absent.
async fn run_alone(program: &Path, load: Load, show: &mut impl FnMut(&str)) -> Figures {
    let data_dir = new_data_dir();
    let (taken, kept) = play_at_windrow(program, &data_dir, load, show).await;
    forget(&data_dir);
    Figures::new(load, &taken, &kept, None)
}

async fn play_at_windrow(
    program: &Path,
    data_dir: &Path,
    load: Load,
    show: &mut impl FnMut(&str),
) -> (Taken, Kept) {
    show(&format!("{} open files a process", allow_files(&load)));
    let mut server = Windrow::start(program, data_dir, load);
    let taken = play(server.place().await, load, server.id(), show).await;
    server.kill();
    let kept = records::look(data_dir, &taken.players).await;
    (taken, kept)
}

fn forget(data_dir: &Path) {
    // All of it is invented, and the system clears its own directory.
    let _ = std::fs::remove_dir_all(data_dir);
}
