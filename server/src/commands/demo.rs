//! `windrow demo`: a room with an invented section that plays by itself. The players join over the socket as any device
//! does; what the page or the table says of them comes from the room. It must know no rule of a rehearsal.

mod conductor;
mod found;
pub(crate) mod leader;
mod outcome;
mod plan_choice;
mod plan_outcome;
mod seen;
mod weeks;
mod whole_plan;

pub use outcome::Outcome;

use crate::commands::columns::columns;
use crate::commands::serve::stop_signal;
use crate::config::{ReachConfig, ServerConfig};
use crate::error::StartError;
use crate::invented::Invited;
use crate::new_key;
use crate::player::{Address, Device, DeviceError, Hall, SimulatedSound, Source, Walls, larkmoor};
use crate::serving::{Running, Server};
use crate::words::Language;
use anyhow::{Context, bail};
use clap::Args;
use conductor::Conductor;
use seen::Seen;
use std::io::{ErrorKind, Write};
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Duration;
use tokio::sync::watch;
use tokio::task::{JoinError, JoinSet};
use whole_plan::Manner;
use windrow_protocol::messages::{Hello, RoomCheck, Snapshot, Turns};
use windrow_protocol::units::{Hertz, Name};
use windrow_protocol::voicing::Voicing;

/// A headless demonstration runs so long if nobody says: long enough for every state to show.
const HEADLESS: Duration = Duration::from_secs(20);

/// Where the pages are if nobody says; for this computer alone, since there is nobody to join.
const USUAL: SocketAddr = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 8470);

/// Options of `windrow demo`.
#[derive(Debug, Clone, Args)]
pub struct DemoOptions {
    /// Directory for the records [default: a temporary one, removed at the end].
    #[arg(long, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// Address of the pages (plain http). If nothing is asked for and port 8470 is taken, any free one is used.
    #[arg(long, value_name = "ADDR")]
    pub http: Option<SocketAddr>,
    /// Language for devices that ask for none there are texts in: en or de.
    #[arg(long, value_name = "LANGUAGE", default_value = "en", env = "WINDROW_LANGUAGE")]
    pub language: Language,
    /// Do not wait for anybody: play for a while, then print each player's state.
    #[arg(long)]
    pub headless: bool,
    /// Seconds to play when headless, 1 to 86400 [default: 20; with turns, until all have had theirs].
    #[arg(long = "for", value_name = "SECONDS", value_parser = seconds, requires = "headless")]
    pub play_for: Option<Duration>,
    /// Print one JSON object a line for each player instead of a table.
    #[arg(long, requires = "headless")]
    pub json: bool,
    /// Let the devices hear each other, two of them too close together, and check the room before the music begins. When
    /// headless, print what was found and end.
    #[arg(long, conflicts_with = "play_for")]
    pub room_check: bool,
    /// How the note is spread over the chairs: unison, octaves, fifth, triad or steps, on F; else each has a note of a chord.
    #[arg(long, value_name = "VOICING", value_parser = voicing)]
    pub voicing: Option<Voicing>,
    /// Who plays when: together, down-the-line or pairs. Headless, each player is told of as at the end of the own turn.
    #[arg(long, value_name = "TURNS", value_parser = turns)]
    pub turns: Option<Turns>,
    /// Let every device hear its neighbours, a metre apart, and a classroom's reverberation.
    #[arg(long)]
    pub open_microphones: bool,
    /// Let so many play, 1 to 48 [default: 8].
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=i64::from(larkmoor::MOST_PLAYERS)),
        default_value_t = 8, hide_default_value = true, conflicts_with_all = ["headless", "room_check", "open_microphones"])]
    pub players: u8,
    /// Play a plan from start to end: the name of a built-in one, or a plan's file. Headless, it is played in a time of its
    /// own, as fast as this computer can, and each player is told of exercise by exercise; --voicing and --turns are then
    /// those of every exercise.
    #[arg(long, value_name = "NAME|FILE", conflicts_with_all = ["room_check", "play_for"])]
    pub plan: Option<String>,
    /// Play the plan so many times as fast as life, 0.1 to 1000 [default: as fast as this computer can].
    #[arg(long, value_name = "N", value_parser = speed, requires_all = ["plan", "headless"])]
    pub speed: Option<f64>,
    /// Begin with the records of so many invented weekly rehearsals of twelve, 1 to 520; they are made up, and marked so. With
    /// --data, in a directory that has no records yet.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=520), conflicts_with = "headless")]
    pub weeks: Option<u16>,
    /// Other weeks; the same number gives the same ones [default: 1].
    #[arg(long, value_name = "N", requires = "weeks", default_value_t = 1, hide_default_value = true)]
    pub seed: u64,
}

/// Runs the demonstration.
///
/// # Errors
/// Whatever kept it from running, ready to be shown.
pub fn run(options: DemoOptions) -> anyhow::Result<ExitCode> {
    if let Some(plan) = options.plan.as_deref().filter(|_| options.headless) {
        return play_whole(plan, &options);
    }
    let runtime = tokio::runtime::Runtime::new().context("cannot start the runtime")?;
    runtime.block_on(demonstrate(&options))
}

/// Plays a plan without anybody and prints what came of it.
fn play_whole(plan: &str, options: &DemoOptions) -> anyhow::Result<ExitCode> {
    let lesson = plan_choice::lesson(plan, options.language, options.voicing, options.turns)?;
    let manner = Manner {
        a4_hz: Hertz::new(440.0).context("A4 of the demonstration")?,
        open_microphones: options.open_microphones,
        speed: options.speed,
        n_threads: std::thread::available_parallelism().map_or(1, usize::from),
    };
    let mut progress = plan_choice::Progress::default();
    let rehearsal = whole_plan::play(&lesson, manner, |room| progress.show(room))?;
    let outcomes = plan_outcome::of_all(&lesson, &rehearsal.results);
    match plan_outcome::print(&outcomes, &rehearsal, options.json) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(error).context("cannot print the results"),
        _ => Ok(ExitCode::SUCCESS),
    }
}

async fn demonstrate(options: &DemoOptions) -> anyhow::Result<ExitCode> {
    if options.headless && options.room_check {
        let found = check_headless(options).await?;
        return match found::print(&found, options.json) {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => {
                Err(error).context("cannot print what was found")
            }
            _ => Ok(ExitCode::SUCCESS),
        };
    }
    if options.headless {
        let outcomes = headless(options).await?;
        return match print(&outcomes, options.json) {
            // Whoever reads has had enough, such as `head`.
            Err(error) if error.kind() != ErrorKind::BrokenPipe => {
                Err(error).context("cannot print the states")
            }
            _ => Ok(ExitCode::SUCCESS),
        };
    }
    let mut rehearsal = Rehearsal::begin(options).await?;
    println!(
        "The {} are playing: {} invented players, every sound made by this program.\n\n  \
         Open the conductor's page:\n    {}\n\nCtrl-C ends it.",
        larkmoor::NAME,
        options.players,
        rehearsal.running.conductor_link()
    );
    let ended = tokio::select! {
        asked = stop_signal() => asked.context("cannot wait for Ctrl-C"),
        failed = rehearsal.failure() => Err(failed),
    };
    println!("Closing.");
    rehearsal.end().await;
    ended.map(|()| ExitCode::SUCCESS)
}

/// Plays for the time asked for and gives what the room says of each player at the end.
///
/// # Errors
/// Whatever failed, ready to be shown; a state other than the intended one is no failure.
pub async fn headless(options: &DemoOptions) -> anyhow::Result<Vec<Outcome>> {
    let mut rehearsal = Rehearsal::begin(options).await?;
    let takes_turns = options.turns.is_some_and(|turns| turns != Turns::Together);
    let longest = options.play_for.unwrap_or(if takes_turns { Duration::MAX } else { HEADLESS });
    let mut seen = Seen::new(rehearsal.room.clone(), takes_turns);
    let done = tokio::select! {
        () = tokio::time::sleep(longest) => Ok(()),
        () = seen.look_to_the_end() => Ok(()),
        asked = stop_signal() => asked.context("cannot wait for Ctrl-C"),
        failed = rehearsal.failure() => Err(failed),
    };
    rehearsal.end().await;
    done?;
    let room = seen.last.context("the conductor's socket never showed the room")?;
    Outcome::of_all(&larkmoor::players(), &room)
}

/// Checks the room and gives what was found.
async fn check_headless(options: &DemoOptions) -> anyhow::Result<RoomCheck> {
    let rehearsal = Rehearsal::begin(options).await?;
    let found = rehearsal.running.room_check();
    rehearsal.end().await;
    found.context("the room check found nothing")
}

/// A server, its players and its conductor, all at work.
struct Rehearsal {
    running: Running,
    stop: watch::Sender<bool>,
    players: JoinSet<Result<(), DeviceError>>,
    conductor: JoinSet<anyhow::Result<()>>,
    room: watch::Receiver<Option<Box<Snapshot>>>,
    temporary_dir: Option<PathBuf>,
}

impl Rehearsal {
    /// Starts the server, lets the players join, and starts the music.
    async fn begin(options: &DemoOptions) -> anyhow::Result<Self> {
        let (data_dir, temporary_dir) = match &options.data {
            Some(dir) => (dir.clone(), None),
            None => {
                let name = format!("windrow-demo-{}", uuid::Uuid::now_v7());
                let dir = std::env::temp_dir().join(name);
                (dir.clone(), Some(dir))
            }
        };
        let a4_hz = Hertz::new(440.0).context("A4 of the demonstration")?;
        let begun = async {
            let invited = weeks::invented(options, &data_dir).await?;
            Ok((start(options, &data_dir, a4_hz).await?, invited))
        };
        let (running, invited) = match begun.await {
            Ok(begun) => begun,
            Err(error) => {
                remove(temporary_dir.as_deref());
                return Err(error);
            }
        };
        let (stop, _) = watch::channel(false);
        let (show, room) = watch::channel(None);
        let (players, conductor) = (JoinSet::new(), JoinSet::new());
        let mut rehearsal = Self { running, stop, players, conductor, room, temporary_dir };
        match rehearsal.gather(a4_hz, options, &invited).await {
            Ok(conductor) => {
                let stopped = rehearsal.stop.subscribe();
                rehearsal.conductor.spawn(conductor.watch(show, stopped));
                Ok(rehearsal)
            }
            Err(error) => {
                rehearsal.end().await;
                Err(error)
            }
        }
    }

    /// Lets the players come in one after another, so that they sit in score order, and starts the music.
    async fn gather(
        &mut self,
        a4_hz: Hertz,
        options: &DemoOptions,
        invited: &[Invited],
    ) -> anyhow::Result<Conductor> {
        let Running { http_addr, code, key, .. } = &self.running;
        let key = key.as_deref().unwrap_or_default();
        let mut conductor = Conductor::open(format!("ws://{http_addr}/ws/conductor?key={key}")).await?;
        let address = Address::new(&format!("http://{http_addr}"), None)?;
        let hall = match (options.open_microphones, options.room_check) {
            (true, false) => Some((larkmoor::rows(1.0), Walls::CLASSROOM)),
            (true, true) => Some((larkmoor::places(), Walls::CLASSROOM)),
            (false, true) => Some((larkmoor::places(), Walls::FAR)),
            (false, false) => None,
        };
        let hall = hall.map(|(places, walls)| {
            let seats = larkmoor::players().into_iter().zip(places).collect();
            Hall::new(seats, walls, a4_hz.get())
        });
        for (player, n_players) in larkmoor::many(options.players).into_iter().zip(1..) {
            // Its sound has no latency but its own.
            let token = invited.iter().find(|i| i.name == player.name.as_str()).map(|i| i.token.clone());
            let hello =
                Hello { calibrated: true, token, ..Hello::new(code, player.name.clone(), player.instrument) };
            let sound: Box<dyn Source> = match &hall {
                Some(hall) => Box::new(hall.sound_at(usize::from(n_players) - 1)),
                None => Box::new(SimulatedSound::new(&player, a4_hz.get())),
            };
            let device = Device::new(address.clone(), hello, sound);
            self.players.spawn(device.run(self.stop.subscribe()));
            tokio::select! {
                here = conductor.wait_for(n_players) => here?,
                Some(ended) = self.players.join_next() => return Err(failure("a player's device", ended)),
            }
        }
        if options.room_check {
            tokio::select! {
                checked = conductor.check_the_room() => checked?,
                Some(ended) = self.players.join_next() => return Err(failure("a player's device", ended)),
            }
        }
        let Some(plan) = &options.plan else {
            conductor.start_the_music(options.voicing, options.turns).await?;
            return Ok(conductor);
        };
        let lesson = plan_choice::lesson(plan, options.language, options.voicing, options.turns)?;
        if let Some(refusal) = self.running.take_plan(lesson).await {
            bail!("the room does not take the plan: {refusal}");
        }
        conductor.start_the_plan().await?;
        Ok(conductor)
    }

    /// Waits until a player or the conductor fails; for ever if none does.
    async fn failure(&mut self) -> anyhow::Error {
        tokio::select! {
            Some(ended) = self.players.join_next() => failure("a player's device", ended),
            Some(ended) = self.conductor.join_next() => failure("the conductor's socket", ended),
            else => std::future::pending().await,
        }
    }

    /// Players first, then the server, then what it left in a temporary directory.
    async fn end(mut self) {
        // Nobody is left to hear it where all have failed.
        let _ = self.stop.send(true);
        while self.players.join_next().await.is_some() {}
        while self.conductor.join_next().await.is_some() {}
        self.running.stop().await;
        remove(self.temporary_dir.as_deref());
    }
}

/// Starts the server where it was asked to be, else at the usual port, else at any.
async fn start(options: &DemoOptions, data_dir: &Path, a4_hz: Hertz) -> anyhow::Result<Running> {
    let config = |http| ServerConfig {
        data_dir: data_dir.to_owned(),
        reach: ReachConfig::plain_http(http),
        sections: vec![Name::new(larkmoor::NAME).expect("the section's name is a name")],
        a4_hz,
        demo: true,
        language: options.language,
        keep_days: None,
        program_key: Some(new_key()),
        metrics_token: None,
    };
    let any_port = SocketAddr::from(([127, 0, 0, 1], 0));
    let usual = if options.headless { any_port } else { USUAL };
    match Server::start(config(options.http.unwrap_or(usual))).await {
        Err(StartError::Listen { addr, cause, .. })
            if options.http.is_none() && cause.kind() == ErrorKind::AddrInUse =>
        {
            println!("Port {} is taken, so another one is used.\n", addr.port());
            Ok(Server::start(config(any_port)).await?)
        }
        started => Ok(started?),
    }
}

/// Why a task that was to go on has ended.
fn failure<E: Into<anyhow::Error>>(who: &str, ended: Result<Result<(), E>, JoinError>) -> anyhow::Error {
    let error = match ended {
        Ok(Ok(())) => return anyhow::anyhow!("{who} has ended before the demonstration did"),
        Ok(Err(error)) => error.into(),
        Err(error) => error.into(),
    };
    error.context(format!("{who} has failed"))
}

fn remove(dir: Option<&Path>) {
    let failed = dir.filter(|dir| dir.exists()).and_then(|dir| std::fs::remove_dir_all(dir).err());
    if let Some(error) = failed {
        tracing::warn!(%error, "the temporary directory could not be removed");
    }
}

fn print(outcomes: &[Outcome], json: bool) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    if json {
        for outcome in outcomes {
            writeln!(out, "{}", outcome.to_json())?;
        }
    } else {
        write!(out, "{}", columns(&outcome::rows(outcomes)))?;
    }
    out.flush()
}

fn seconds(text: &str) -> anyhow::Result<Duration> {
    match text.parse::<f64>() {
        Ok(value) if (1.0..=86_400.0).contains(&value) => Ok(Duration::from_secs_f64(value)),
        _ => bail!("the time must be from 1 to 86400 seconds, but is \"{text}\""),
    }
}

fn speed(text: &str) -> anyhow::Result<f64> {
    match text.parse::<f64>() {
        Ok(value) if (0.1..=1000.0).contains(&value) => Ok(value),
        _ => bail!("the speed must be from 0.1 to 1000 times that of life, but is \"{text}\""),
    }
}

fn voicing(text: &str) -> anyhow::Result<Voicing> {
    let words = || Voicing::ALL.map(Voicing::word).join(", ");
    let found = Voicing::ALL.into_iter().find(|voicing| voicing.word() == text);
    found.with_context(|| format!("the voicing must be one of {}, but is \"{text}\"", words()))
}

fn turns(text: &str) -> anyhow::Result<Turns> {
    match text {
        "together" => Ok(Turns::Together),
        "down-the-line" => Ok(Turns::DownTheLine),
        "pairs" => Ok(Turns::Pairs),
        _ => bail!("the turns must be together, down-the-line or pairs, but are \"{text}\""),
    }
}
