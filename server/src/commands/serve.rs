//! `windrow serve`: a room for a real section. It fills in the server's config and prints what to open; it must know
//! nothing of rooms or sound.

mod terminal;

use crate::config::{ServeOptions, ServerConfig};
use crate::log;
use crate::serving::{Server, default_data_dir};
use crate::version;
use anyhow::Context;
use std::io::IsTerminal;
use std::path::Path;
use std::process::ExitCode;
use std::time::Duration;
use terminal::Terminal;

/// As often as a person looks over.
const NEWS_EVERY: Duration = Duration::from_secs(5);

/// Serves until Ctrl-C.
///
/// # Errors
/// Whatever kept the server from starting, ready to be shown.
pub fn run(options: ServeOptions) -> anyhow::Result<ExitCode> {
    run_with_key(options, None)
}

/// The same with a key for programs, as [`ServerConfig::program_key`] has it.
///
/// # Errors
/// As [`run`].
pub fn run_with_key(options: ServeOptions, program_key: Option<String>) -> anyhow::Result<ExitCode> {
    log::note_panics();
    let runtime = tokio::runtime::Runtime::new().context("cannot start the runtime")?;
    runtime.block_on(serve(options, program_key))
}

async fn serve(options: ServeOptions, program_key: Option<String>) -> anyhow::Result<ExitCode> {
    let data_dir = match options.data {
        Some(dir) => dir,
        None => default_data_dir()?,
    };
    let config = ServerConfig {
        data_dir: data_dir.clone(),
        reach: options.reach.into(),
        sections: options.section,
        a4_hz: options.a4,
        demo: false,
        language: options.language,
        keep_days: options.keep_days,
        program_key,
        metrics_token: options.metrics_token_file.as_deref().map(token_in).transpose()?,
    };
    let running = Server::start(config).await?;
    let (http, https) = (running.http_addr.port(), running.https_addr.map(|addr| addr.port()));
    tracing::info!(version = version::in_full(), http, https, "serving");
    let mut terminal = Terminal::new(&running, !options.no_qr && std::io::stdout().is_terminal());
    let speaking = async {
        // Asking whether a name is taken lasts three quarters of a second (RFC 6762, section 8.1).
        running.settle_local_name(Duration::from_secs(2)).await;
        print!("{}", terminal.welcome());
        println!("The records are in {}. Ctrl-C ends the rehearsal.", data_dir.display());
        loop {
            tokio::time::sleep(NEWS_EVERY).await;
            print!("{}", terminal.news());
        }
    };
    tokio::select! {
        asked = stop_signal() => asked.context("cannot wait for Ctrl-C")?,
        () = speaking => {}
    }
    println!("Closing.");
    tracing::info!("closing");
    running.stop().await;
    tracing::info!("closed");
    Ok(ExitCode::SUCCESS)
}

/// Fewer signs than this could be guessed: 24 letters and digits at random are over 120 bits.
const LEAST_TOKEN: usize = 24;

/// The token that stands in a file.
fn token_in(file: &Path) -> anyhow::Result<String> {
    let text = std::fs::read_to_string(file)
        .with_context(|| format!("cannot read the token for /metrics in {}", file.display()))?;
    let token = text.trim();
    let is_fit = token.len() >= LEAST_TOKEN && token.bytes().all(|b| b.is_ascii_graphic());
    anyhow::ensure!(
        is_fit,
        "the token for /metrics in {} must be {LEAST_TOKEN} signs or more, without spaces: try `openssl rand -hex 16`",
        file.display()
    );
    Ok(token.to_owned())
}

/// Waits until somebody wants the program to end: Ctrl-C, or where the system has it, its usual way of ending programs.
///
/// # Errors
/// When the system does not let the program wait for that.
pub async fn stop_signal() -> std::io::Result<()> {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let mut terminate = signal(SignalKind::terminate())?;
        tokio::select! {
            interrupted = tokio::signal::ctrl_c() => interrupted,
            _ = terminate.recv() => Ok(()),
        }
    }
    #[cfg(windows)]
    {
        let mut close = tokio::signal::windows::ctrl_close()?;
        tokio::select! {
            interrupted = tokio::signal::ctrl_c() => interrupted,
            _ = close.recv() => Ok(()),
        }
    }
    #[cfg(not(any(unix, windows)))]
    tokio::signal::ctrl_c().await
}
