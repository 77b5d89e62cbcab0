//! Plays a school's worth of players on a server and on a bare relay of the same bytes, all on this computer, and says how late
//! everything came. Use a release build: `cargo run --release -q -p windrow-tests --bin load -- --players 1000`. What the figures
//! mean stands beside them in `windrow_tests::load`.

#![forbid(unsafe_code)]

use clap::Parser;
use std::process::ExitCode;
use windrow_tests::figures::{number_in, rounded};
use windrow_tests::load::{Load, find_knee, run, serve_as_relay, shown};
use windrow_tests::process::be_the_program;

/// How late a tempo comes to a thousand players, and beside it over a bare relay of the same bytes.
#[derive(Debug, Parser)]
#[command(name = "load")]
struct Asked {
    /// Players in all.
    #[arg(long, value_name = "N", default_value_t = 1000, value_parser = clap::value_parser!(u32).range(..=15_000))]
    players: u32,
    /// Rooms that they are spread over.
    #[arg(long, value_name = "N", default_value_t = 40, value_parser = clap::value_parser!(u32).range(1..=64))]
    rooms: u32,
    /// How long is measured.
    #[arg(long, value_name = "S", default_value = "20", value_parser = |word: &str| number_in(word, 1.0..=3600.0))]
    seconds: f64,
    /// Devices beside the players that are in and say nothing.
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = clap::value_parser!(u32).range(..=15_000))]
    idle: u32,
    /// The same over https.
    #[arg(long)]
    tls: bool,
    /// Of the devices' chance.
    #[arg(long, value_name = "K", default_value_t = 1)]
    seed: u64,
    /// More and more players, from this many on, until the tempo or the page comes too late.
    #[arg(long)]
    find_knee: bool,
    /// One object, for other programs.
    #[arg(long)]
    json: bool,
}

fn main() -> ExitCode {
    // The servers that are measured are this program as well, each in a process of its own.
    match std::env::args().nth(1).as_deref() {
        Some("serve") => return be_the_program(),
        Some("--as-relay") => return serve_as_relay(),
        _ => {}
    }
    let asked = Asked::parse();
    let load = Load {
        n_players: asked.players,
        n_rooms: asked.rooms,
        seconds: asked.seconds,
        n_idle: asked.idle,
        tls: asked.tls,
        seed: asked.seed,
    };
    let (Ok(runtime), Ok(program)) = (tokio::runtime::Runtime::new(), std::env::current_exe()) else {
        eprintln!("load: no threads can be started, or this program cannot tell where it is");
        return ExitCode::FAILURE;
    };
    let show = |how_far: &str| eprintln!("load: {how_far}");
    if asked.find_knee {
        let knee = runtime.block_on(find_knee(&program, load, show));
        if asked.json {
            println!("{}", rounded(&knee));
        } else {
            println!(
                "{:>8}{:>16}{:>16}{:>12}{:>8}",
                "players", "tempo 99 % (ms)", "page 99 % (ms)", "server", "lost"
            );
            for t in &knee.tries {
                let (tempo, page) = (t.tempo_p99_ms, t.reading_to_page_p99_ms);
                println!(
                    "{:>8}{tempo:>16.1}{page:>16.1}{:>12.2}{:>8}",
                    t.players, t.server_cpu_share, t.lost
                );
            }
            let not = knee.not_borne.map_or("none was too many".to_owned(), |n| format!("{n} were too many"));
            println!("{} players were borne; {not}", knee.borne);
        }
        return ExitCode::SUCCESS;
    }
    let figures = runtime.block_on(run(&program, load, show));
    if asked.json {
        println!("{}", rounded(&figures));
    } else {
        print!("{}", shown(&figures));
    }
    if figures.lost == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
