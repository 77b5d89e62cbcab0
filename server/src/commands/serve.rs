//! `windrow serve`: a room for a real section. It fills in the server's config and prints what to open; it must know
//! nothing of rooms or sound.

use crate::config::{ServeOptions, ServerConfig};
use crate::reach::for_terminal;
use crate::serving::{Running, Server, default_data_dir};
use anyhow::Context;
use std::io::IsTerminal;
use std::process::ExitCode;
use std::time::Duration;

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
        section: options.section,
        a4_hz: options.a4,
        demo: false,
        keep_days: options.keep_days,
        program_key,
    };
    let running = Server::start(config).await?;
    // Asking whether a name is taken lasts three quarters of a second (RFC 6762, section 8.1).
    running.settle_local_name(Duration::from_secs(2)).await;
    let shows_pattern = !options.no_qr && std::io::stdout().is_terminal();
    print!("{}", welcome(&running, shows_pattern));
    println!("The records are in {}. Ctrl-C ends the rehearsal.", data_dir.display());
    stop_signal().await.context("cannot wait for Ctrl-C")?;
    println!("Closing.");
    running.stop().await;
    Ok(ExitCode::SUCCESS)
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

/// What to open, for the person at the keyboard.
fn welcome(running: &Running, shows_pattern: bool) -> String {
    let (reach, code) = (running.reach(), &running.code);
    let link = reach.pattern_url(code);
    let conductor = match &running.first_link {
        Some(link) if running.key.is_none() => format!(
            "Conductor, on this computer, to choose a passphrase (good once, for an hour):\n    {link}"
        ),
        _ => format!("Conductor, on this computer:\n    {}", running.conductor_link()),
    };
    let mut text = format!(
        "Windrow is listening.\n\n  {conductor}\n\n  Players, in the same Wi-Fi: type {} and the code {code}\n",
        reach.short_address(),
    );
    if let Some(name) = reach.named_address() {
        text.push_str(&format!("  (many devices find {name} as well)\n"));
    }
    let pattern = shows_pattern.then(|| for_terminal(&link).ok()).flatten();
    text.push_str(if pattern.is_some() { "  or point a camera at this:\n" } else { "  or open:\n" });
    text.push_str(&format!("    {link}\n\n"));
    text.push_str(&pattern.unwrap_or_default());
    if let Some(authority) = &reach.authority {
        text.push_str(&format!(
            "  A device that comes for the first time is told how to trust this computer's certificate, {}:\n    {}\n\n",
            authority.common_name, authority.fingerprint
        ));
    } else if running.https_addr.is_none() && reach.doors.site.is_none() {
        text.push_str("  Without https only this computer can use its microphone.\n\n");
    }
    for warning in reach.warnings() {
        text.push_str(&format!("  Note: {warning}\n\n"));
    }
    text
}
