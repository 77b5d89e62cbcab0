//! `windrow measure --session`: recordings that a player brings, measured by the rules of a rehearsal against what was to be played, and
//! added to that player's records. It must hold no rule of a rehearsal and no SQL; the server may run meanwhile.

mod asked;
mod date;
mod heard;
mod played;

use super::MeasureOptions;
use crate::commands::account::account;
use crate::commands::plan;
use crate::commands::sound_file::SoundFile;
use crate::hex::hex;
use crate::plan::compile;
use crate::practice::{self, Owner, Practice};
use crate::roster::dates::in_full;
use crate::serving::default_data_dir;
use crate::store::Store;
use crate::words::{Language, english, printable};
use anyhow::{Context, anyhow, bail, ensure};
use asked::{Asked, Beginning};
use heard::Tone;
use played::{Played, play};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::UNIX_EPOCH;
use windrow_protocol::PROTOCOL_VERSION;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::units::Name;

/// Longest recording: half a gigabyte in memory. Our own choice.
const LONGEST_S: f64 = 45.0 * 60.0;

/// Options of `windrow measure --session`.
#[derive(Debug, Clone, clap::Args)]
pub struct SessionOptions {
    /// Add the recordings to a player's records, as played at home: say whose they are with --player, and what was to be played with
    /// --plan or --tempo.
    #[arg(long, requires = "player", requires = "asked", conflicts_with_all = ["json", "plot"])]
    pub session: bool,
    /// Whose recordings they are: the name in the section's list.
    #[arg(long, value_name = "NAME", requires = "session")]
    pub player: Option<String>,
    /// The list, where several have that name [default: all of them are looked through].
    #[arg(long, value_name = "SECTION", requires = "session")]
    pub section: Option<String>,
    /// When it was played, such as 2026-11-20 or 2026-11-20T17:30Z, by UTC [default: when the file was last changed].
    #[arg(long, value_name = "DATE", requires = "session", value_parser = date::unix_ms)]
    pub at: Option<i64>,
    /// Plan whose exercise was played: a name of "windrow plan list", one of your own, or a plan's file.
    #[arg(long, value_name = "PLAN", requires = "session", group = "asked")]
    pub plan: Option<String>,
    /// Number of the exercise in that plan [default: its only one].
    #[arg(long, value_name = "N", requires = "plan")]
    pub exercise: Option<u16>,
    /// Say what would be added, and add nothing.
    #[arg(long, requires = "session")]
    pub dry_run: bool,
    /// Directory with the records [default: the place your system keeps such data].
    #[arg(long, value_name = "DIR", env = "WINDROW_DATA", requires = "session")]
    pub data: Option<PathBuf>,
}

/// Whose records a recording goes to.
struct Player {
    owner: Owner,
    name: Name,
    instrument: Instrument,
}

/// Measures and adds the files. What is wrong with one is said on standard error, and the others are still added.
///
/// # Errors
/// What kept all of them from being measured.
pub(super) fn run(options: &MeasureOptions) -> anyhow::Result<ExitCode> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .context("cannot start the runtime")?;
    runtime.block_on(async {
        let dir = match &options.session.data {
            Some(dir) => dir.clone(),
            None => default_data_dir()?,
        };
        ensure!(
            Store::is_in(&dir),
            "there are no records in {}: start \"windrow serve\" first, or say with --data where they are",
            dir.display()
        );
        let store = Store::open(&dir)
            .await
            .with_context(|| format!("cannot read the records in {}", dir.display()))?;
        let done = add_all(&store, options).await;
        store.close().await;
        done
    })
}

async fn add_all(store: &Store, options: &MeasureOptions) -> anyhow::Result<ExitCode> {
    let asked = asked(store, options).await?;
    let player = player(store, options).await?;
    let mut all_well = true;
    for path in &options.files {
        if let Err(error) = add(store, &player, &asked, path, options).await {
            all_well = false;
            eprintln!("windrow: {}: {}", path.display(), printable(&format!("{error:#}")));
        }
    }
    Ok(if all_well { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// What was to be played.
async fn asked(store: &Store, options: &MeasureOptions) -> anyhow::Result<Asked> {
    if let Some((bpm, per_beat)) = options.tempo.zip(options.pulses_per_beat) {
        return Ok(Asked::steady(bpm, per_beat, options.expect));
    }
    let choice = options.session.plan.as_deref().context("there is no plan and no tempo")?;
    let own = store.plan(choice).await.context("cannot read the plans in the records")?;
    let found = match own {
        Some(row) => crate::plan::read(&row.text)
            .with_context(|| format!("\"{choice}\" is not a plan that can be read"))?,
        None => plan::find(choice, None, Language::English)?,
    };
    Asked::exercise(compile(&found), options.session.exercise, options.expect)
}

/// Who is meant; whoever cannot be told apart is named.
async fn player(store: &Store, options: &MeasureOptions) -> anyhow::Result<Player> {
    let wanted = options.session.player.as_deref().unwrap_or_default().trim();
    let (mut found, mut names) = (Vec::new(), Vec::new());
    for section in store.sections().await.context("cannot read the sections")? {
        if options.session.section.as_ref().is_some_and(|only| *only != section.name) {
            continue;
        }
        for person in store.people(&section.section_id).await.context("cannot read the list")? {
            if person.name.to_lowercase() == wanted.to_lowercase() {
                found.push((section.name.clone(), person));
            } else if !person.is_removed {
                names.push(person.name);
            }
        }
    }
    // Who is in the list goes before who was taken off it.
    if found.iter().any(|(_, person)| !person.is_removed) {
        found.retain(|(_, person)| !person.is_removed);
    }
    if found.len() > 1 {
        let said: Vec<String> =
            found.iter().map(|(section, p)| format!("{} ({}, in {section})", p.name, p.instrument)).collect();
        bail!(
            "several have the name \"{wanted}\": {}. Say which with --section, or give them different names",
            said.join("; ")
        )
    }
    let Some((section, person)) = found.pop() else {
        let near = names
            .iter()
            .map(|name| (strsim::jaro_winkler(&name.to_lowercase(), &wanted.to_lowercase()), name));
        let near = near.filter(|(likeness, _)| *likeness > 0.8).max_by(|a, b| a.0.total_cmp(&b.0));
        let hint = near.map_or_else(String::new, |(_, name)| format!(" Is it {name}?"));
        bail!(
            "nobody in the list has the name \"{wanted}\".{hint} \"windrow roster export\" names who is there"
        )
    };
    let name = Name::new(&person.name).context("the name in the list")?;
    let instrument = Instrument::from_slug(&person.instrument).context("the instrument in the list")?;
    Ok(Player { owner: Owner::in_list(person.person_id, name.clone(), section), name, instrument })
}

async fn add(
    store: &Store,
    player: &Player,
    asked: &Asked,
    path: &Path,
    options: &MeasureOptions,
) -> anyhow::Result<()> {
    let (samples, sample_rate_hz) = samples(path)?;
    let tone = Tone::find(&samples, sample_rate_hz, options.a4.get(), options.expect)?.context(
        "no tone is heard in it: look whether it is the right file, and record nearer to the instrument",
    )?;
    let beginning = Beginning::of(asked, &tone, options.beat_at)?;
    let lesson = asked.lesson(&tone, &beginning)?;
    let seconds = samples.len() as f64 / sample_rate_hz;
    let played = Played {
        samples,
        sample_rate_hz,
        name: &player.name,
        instrument: player.instrument,
        a4_hz: options.a4,
    };
    let heard = play(played, lesson, &beginning, asked.exercise).map_err(|why| anyhow!("{why}"))?;
    let at_unix_ms = match options.session.at {
        Some(at) => at,
        None => changed_unix_ms(path)?,
    };
    println!("{}: {seconds:.1} s, played by {} on {}", path.display(), player.name, in_full(at_unix_ms));
    let found = if beginning.is_known {
        ""
    } else {
        ", found by the tone: early and late are left out (--beat-at tells where it is)"
    };
    println!("  The first beat lies at {:.2} s{found}.", beginning.at_s);
    println!("  {}", account(&heard.run.told, None).replace('\n', "\n  "));
    let practice = Practice {
        origin_id: origin_of(path, asked, options)?,
        began_unix_ms: at_unix_ms - (heard.run.began_us / 1e3) as i64,
        invented: false,
        plan_title: asked.lesson.title.clone(),
        protocol_version: PROTOCOL_VERSION,
        name: player.name.clone(),
        instrument: player.instrument,
        a4_hz: Some(options.a4),
        kept: heard.kept,
    };
    if options.session.dry_run {
        println!("  Not added, since this is a dry run.");
        return Ok(());
    }
    match practice::take(store, &player.owner, practice, "").await {
        Ok(true) => println!("  Added to the records of {}.", player.name),
        Ok(false) => println!("  It is in the records already, and counts once."),
        Err(practice::NotTaken::Cannot(text)) => bail!("{}", english(&text)),
        Err(error) => return Err(error).context("it could not be added"),
    }
    Ok(())
}

fn samples(path: &Path) -> anyhow::Result<(Vec<f32>, f64)> {
    let mut file = SoundFile::open(path)?;
    let rate_hz = f64::from(file.sample_rate_hz());
    let mut samples = Vec::new();
    while let Some(block) = file.next_block()? {
        samples.extend_from_slice(block);
        ensure!(
            samples.len() as f64 <= LONGEST_S * rate_hz,
            "it is longer than {:.0} minutes: cut it into exercises",
            LONGEST_S / 60.0
        );
    }
    Ok((samples, rate_hz))
}

/// The same bytes held against the same are the same recording.
fn origin_of(path: &Path, asked: &Asked, options: &MeasureOptions) -> anyhow::Result<String> {
    let mut hash = Sha256::new();
    hash.update(std::fs::read(path).with_context(|| format!("{} cannot be read", path.display()))?);
    hash.update(asked.text());
    hash.update(format!("{:?} {:?}", options.beat_at, options.a4.get()));
    Ok(hex(&hash.finalize()))
}

fn changed_unix_ms(path: &Path) -> anyhow::Result<i64> {
    let changed = std::fs::metadata(path).and_then(|about| about.modified());
    let since =
        changed.context("the system does not tell when it was changed: say when it was played with --at")?;
    Ok(i64::try_from(since.duration_since(UNIX_EPOCH).unwrap_or_default().as_millis()).unwrap_or(i64::MAX))
}
