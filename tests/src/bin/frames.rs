//! Measures how smoothly the conductor's page moves while many players play sixteenths at 120, with the processor as it is and made
//! four and six times slower. What the figures mean stands beside them in `windrow_tests::frames`.

#![forbid(unsafe_code)]

use clap::Parser;
use serde_json::json;
use std::process::ExitCode;
use windrow_tests::chromium::program;
use windrow_tests::frames::run;

/// How smoothly the conductor's page moves.
#[derive(Debug, Parser)]
#[command(name = "frames")]
struct Asked {
    /// Players in the room.
    #[arg(long, value_name = "N", default_value_t = 40)]
    lanes: usize,
    /// One object, for other programs.
    #[arg(long)]
    json: bool,
}

fn main() -> ExitCode {
    let asked = Asked::parse();
    let Some(program) = program() else {
        eprintln!("frames: there is no Chromium in PATH");
        return ExitCode::FAILURE;
    };
    let Ok(runtime) = tokio::runtime::Runtime::new() else { return ExitCode::FAILURE };
    let runs = runtime.block_on(run(&program, asked.lanes, &[1.0, 4.0, 6.0]));
    if asked.json {
        println!("{}", json!(runs));
        return ExitCode::SUCCESS;
    }
    for run in runs {
        for (name, f) in [("conductor", &run.page), ("bare", &run.bare)] {
            println!(
                "{:2.0}x slower, {} lanes, {name:10} {:5.1} frames/s, {:4.1} dropped/s, main thread {:5.2} ms a frame (95 %: {:5.2}), {:.1} long tasks/s",
                run.slower, run.lanes, f.fps, f.dropped_per_s, f.main_ms, f.main_95_ms, f.long_tasks_per_s
            );
        }
        println!("{:2.0}x slower: {:.2} of the bare page's frames", run.slower, run.ratio);
    }
    ExitCode::SUCCESS
}
