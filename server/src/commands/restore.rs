//! `windrow restore`: a backup in place of the records, whether the server is running or not. It must not know what is in them.

use super::backup::rows_said;
use crate::clock::unix_ms;
use crate::roster::dates::in_full;
use crate::serving::{Use, default_data_dir, make_private_dir, use_records};
use crate::store::{Restored, Restoring, Store, restore};
use anyhow::{Context, bail};
use clap::Args;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Duration;

/// A server on the same computer answers within this, or stands still.
const ANSWERS_WITHIN: Duration = Duration::from_secs(2);

/// Options of `windrow restore`.
#[derive(Debug, Clone, Args)]
pub struct RestoreOptions {
    /// A file that "windrow backup" or the page "Keep" made.
    pub file: PathBuf,
    /// Directory for the records; made if missing [default: the place your system keeps such data].
    #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
    pub data: Option<PathBuf>,
    /// Also while players are in the room. What they have played stays, but lists and chairs may change under them.
    #[arg(long)]
    pub now: bool,
}

/// Restores, and says what is there now.
///
/// # Errors
/// Whatever kept it from that, ready to be shown.
pub fn run(options: RestoreOptions) -> anyhow::Result<ExitCode> {
    let data_dir = match options.data {
        Some(dir) => dir,
        None => default_data_dir()?,
    };
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .context("cannot start the runtime")?;
    runtime.block_on(async {
        make_private_dir(&data_dir)
            .await
            .with_context(|| format!("cannot use the directory {}", data_dir.display()))?;
        // Held until the end where no server runs, so that none starts on what is half done.
        let held = use_records(&data_dir).with_context(|| format!("cannot use {}", data_dir.display()))?;
        let is_served = matches!(held, Use::Theirs);
        if is_served && !options.now {
            refuse_while_played(&data_dir).await?;
        }
        let restoring = Restoring {
            data_dir,
            file: options.file.clone(),
            // Windows lets no colon into a name.
            date: in_full(unix_ms()).replace(':', ""),
            is_served,
        };
        let done = restore(&restoring)
            .await
            .with_context(|| format!("{} was not restored; nothing was changed", options.file.display()))?;
        print!("{}", said(&done, &restoring));
        Ok(ExitCode::SUCCESS)
    })
}

async fn refuse_while_played(data_dir: &Path) -> anyhow::Result<()> {
    let store = Store::open(data_dir).await.context("cannot open the records that are there")?;
    let address = store.address().await;
    store.close().await;
    match address?.and_then(|address| players_in(&address)) {
        Some(0) => Ok(()),
        Some(n) => {
            let players = if n == 1 { "1 player is".to_owned() } else { format!("{n} players are") };
            bail!("{players} in the room: restore when they have left, or add --now. Nothing was changed")
        }
        None => bail!(
            "Windrow is running with these records, but does not say whether anybody is in the room: stop it first, or add \
             --now. Nothing was changed"
        ),
    }
}

/// How many players a server on this computer has in its room; none where it does not say.
fn players_in(address: &str) -> Option<u64> {
    let host = address.strip_prefix("http://")?;
    let addr = host.parse().ok()?;
    let mut stream = TcpStream::connect_timeout(&addr, ANSWERS_WITHIN).ok()?;
    stream.set_read_timeout(Some(ANSWERS_WITHIN)).ok()?;
    write!(stream, "GET /healthz HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").ok()?;
    let mut answer = String::new();
    stream.take(10_000).read_to_string(&mut answer).ok()?;
    let (_, body) = answer.split_once("\r\n\r\n")?;
    let health: serde_json::Value = serde_json::from_str(body.trim()).ok()?;
    health["players"].as_u64()
}

fn said(done: &Restored, restoring: &Restoring) -> String {
    let mut said = rows_said(&done.rows);
    said.push_str(&format!("{} is restored, and whole.\n", restoring.file.display()));
    if restoring.is_served {
        said.push_str(
            "The server goes on: its pages show it in some seconds. What its rehearsal has so far is kept.\n",
        );
    }
    match done.n_erased_again {
        0 => {}
        n => said.push_str(&format!(
            "Erased again, since it was erased on this computer after the backup was made: {n} (people, devices, players).\n"
        )),
    }
    match &done.before {
        Some(before) if done.was_damaged => said.push_str(&format!(
            "The damaged records lie in {}; erase them yourself when you need them no more: they hold names.\n",
            before.display()
        )),
        Some(before) => said.push_str(&format!(
            "What was there before lies in {} and can be restored in the same way. It goes after 30 days, or when \
             somebody's records are erased.\n",
            before.display()
        )),
        None => {}
    }
    said.push_str(
        "Passphrase, sign-ins and the room's code stay those of this computer; where there was no passphrase, the backup's \
         is good.\n",
    );
    said
}
