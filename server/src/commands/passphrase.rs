//! `windrow passphrase`: another passphrase for the conductor, whether the server is running or not: both use the same
//! records, and the server looks there each time. It must know neither pages nor rooms.

use crate::access::{LinkKind, Unfit, check, hash, new_link};
use crate::clock::unix_ms;
use crate::serving::default_data_dir;
use crate::store::Store;
use crate::words::{Language, Words};
use anyhow::{Context, bail, ensure};
use clap::Args;
use std::io::{BufRead, IsTerminal};
use std::path::PathBuf;
use std::process::ExitCode;

/// Options of `windrow passphrase`.
#[derive(Debug, Clone, Args)]
pub struct PassphraseOptions {
    /// Directory with the records [default: the place your system keeps such data].
    #[arg(long, value_name = "DIR", env = "WINDROW_DATA")]
    pub data: Option<PathBuf>,
    /// Ask nothing: take the passphrase away and print a link with which the conductor chooses another in a browser.
    #[arg(long)]
    pub link: bool,
}

/// Sets a passphrase, or prints a link to set one. Whoever is signed in is signed out.
///
/// # Errors
/// Whatever kept it from being set, ready to be shown.
pub fn run(options: PassphraseOptions) -> anyhow::Result<ExitCode> {
    let data_dir = match &options.data {
        Some(dir) => dir.clone(),
        None => default_data_dir()?,
    };
    ensure!(
        Store::is_in(&data_dir),
        "there are no records in {}: start \"windrow serve\" first, or say with --data where they are",
        data_dir.display()
    );
    let new = if options.link { None } else { Some(ask()?) };
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .context("cannot start the runtime")?;
    runtime.block_on(async {
        let store = Store::open(&data_dir)
            .await
            .with_context(|| format!("cannot open the records in {}", data_dir.display()))?;
        let said = match new {
            Some(new) => set(&store, &new).await,
            None => link(&store).await,
        };
        store.close().await;
        said.map(|text| print!("{text}"))
    })?;
    Ok(ExitCode::SUCCESS)
}

async fn set(store: &Store, new: &str) -> anyhow::Result<String> {
    let hash = hash(new).map_err(|error| anyhow::anyhow!("cannot hash the passphrase: {error}"))?;
    store.set_passphrase(&hash, None, unix_ms()).await.context("cannot keep the passphrase")?;
    Ok("The passphrase is set. Whoever was signed in is signed out.\n".to_owned())
}

async fn link(store: &Store) -> anyhow::Result<String> {
    store.forget_passphrase().await.context("cannot take the passphrase away")?;
    let token = new_link(store, LinkKind::Passphrase, unix_ms()).await.context("cannot make a link")?;
    let address = store.address().await.context("cannot read where the server was")?;
    Ok(format!(
        "The old passphrase is gone, and whoever was signed in is signed out. On this computer, with Windrow running, open \
         this to choose another (good once, for an hour):\n\n    {}/first/{token}\n\n",
        address.unwrap_or_default()
    ))
}

fn in_english(unfit: Unfit) -> String {
    Words::new(Language::English).phrase(&unfit.phrase())
}

/// Asks at the terminal, without showing what is typed; where there is none, takes the first line that comes in.
fn ask() -> anyhow::Result<String> {
    if !std::io::stdin().is_terminal() {
        let mut line = String::new();
        std::io::stdin().lock().read_line(&mut line).context("cannot read the passphrase")?;
        let new = line.trim_end_matches(['\r', '\n']).to_owned();
        check(&new, &new, "", "").map_err(|unfit| anyhow::anyhow!(in_english(unfit)))?;
        return Ok(new);
    }
    // A person who is still typing after three tries had better begin anew.
    for _ in 0..3 {
        let new = rpassword::prompt_password("New passphrase: ").context("cannot read the passphrase")?;
        let again = rpassword::prompt_password("The same again: ").context("cannot read the passphrase")?;
        match check(&new, &again, "", "") {
            Ok(()) => return Ok(new),
            Err(unfit) => eprintln!("{}", in_english(unfit)),
        }
    }
    bail!("no passphrase was set")
}
