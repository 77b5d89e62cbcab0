//! One run at one place: conductors and players come, there is music for a while, all go. It measures nothing but the processes; what
//! each one saw is made into figures afterwards.

use super::Load;
use super::conductor::{ConductorTaken, LightConductor};
use super::idle;
use super::meter::{Look, Meter};
use super::pace::{JOINS_PER_S, Pace, SETTLE, Stage};
use super::place::Place;
use super::player::{LightPlayer, PlayerTaken};
use super::relay::Script;
use super::traffic::Traffic;
use std::sync::Arc;
use std::time::Duration;
use tokio::time::{Instant, sleep, sleep_until};
use tokio_tungstenite::tungstenite::Utf8Bytes;

/// Longest wait for the last player to come in after the moment at which it was to.
const ALL_IN_WITHIN: Duration = Duration::from_secs(20);
/// From the last one's welcome to a look at the memory.
const QUIET: Duration = Duration::from_secs(1);
/// Longest wait for acknowledgements after the end.
const ALL_SAFE_WITHIN: Duration = Duration::from_secs(15);

/// What was seen.
#[derive(Debug)]
pub(super) struct Taken {
    pub(super) players: Vec<PlayerTaken>,
    pub(super) conductors: Vec<ConductorTaken>,
    /// The first and the last measured moment.
    pub(super) measured: (Instant, Instant),
    /// Idle ones who came in, and who were in at the end.
    pub(super) n_idle_in: u32,
    pub(super) n_idle_stayed: u32,
    /// The server: before anybody came, with all in and silent, at the first and the last measured moment.
    pub(super) before: Look,
    pub(super) all_in: Look,
    pub(super) from: Look,
    pub(super) to: Look,
    /// This program at the first and the last measured moment.
    pub(super) own_from: Look,
    pub(super) own_to: Look,
}

impl Taken {
    /// All that players, or conductors, heard.
    pub(super) fn heard_by_players(&self) -> Traffic {
        sum(self.players.iter().map(|player| &player.heard))
    }

    pub(super) fn heard_by_conductors(&self) -> Traffic {
        sum(self.conductors.iter().map(|conductor| &conductor.heard))
    }

    pub(super) fn said_by_players(&self) -> Traffic {
        sum(self.players.iter().map(|player| &player.performer.said))
    }

    /// Bytes of all texts that came out of the server.
    pub(super) fn bytes_out(&self) -> u64 {
        self.heard_by_players().bytes() + self.heard_by_conductors().bytes()
    }

    /// What a relay has to say so that as many bytes go over the wires.
    pub(super) fn sample(&self) -> Script {
        let (heard, said) = (self.heard_by_players(), self.said_by_players());
        let scores =
            self.players.iter().find(|player| !player.scores.is_empty()).map(|player| &player.scores);
        let text = |kind: &str| heard.of(kind).last.to_string();
        let conductor = self.conductors.first();
        let mut pictures: Vec<&Utf8Bytes> =
            conductor.iter().flat_map(|conductor| &conductor.pictures).collect();
        pictures.sort_by_key(|text| text.len());
        Script {
            welcome: text("welcome"),
            clock: text("clock"),
            // That of the middle, since a score grows with each change.
            score: scores.map(|scores| scores[scores.len() / 2].to_string()).unwrap_or_default(),
            you: text("you"),
            readings_per_you: said.of("reading").n.checked_div(heard.of("you").n).unwrap_or(0),
            silent_picture: conductor.map(|one| one.silent_picture.to_string()).unwrap_or_default(),
            picture: pictures.get(pictures.len() / 2).map(ToString::to_string).unwrap_or_default(),
            ..Script::default()
        }
    }
}

fn sum<'a>(of_each: impl Iterator<Item = &'a Traffic>) -> Traffic {
    let mut all = Traffic::default();
    of_each.for_each(|traffic| all.add(traffic));
    all
}

/// Plays a run; `server` is the number of the process at that place.
///
/// # Panics
/// When the process is gone, or something that takes part in the run has panicked.
pub(super) async fn play(place: Arc<Place>, load: Load, server: u32, show: &mut impl FnMut(&str)) -> Taken {
    let (mut meter, mut own) = (Meter::of(server), Meter::of(std::process::id()));
    let before = meter.look();
    let pace = Arc::new(Pace::new());
    let lead = |room| {
        let conductor = LightConductor::new(pace.clone(), place.is_relay, room, load.seed);
        tokio::spawn(conductor.run(place.clone(), room))
    };
    let conductors: Vec<_> = (0..place.rooms.len()).map(lead).collect();
    let first = pace.nought + QUIET;
    let joins_at = |number: u32| first + Duration::from_secs_f64(f64::from(number) / JOINS_PER_S);
    // The idle ones come first.
    let stay = |number| tokio::spawn(idle::stay(place.clone(), pace.clone(), number, joins_at(number)));
    let idle: Vec<_> = (0..load.n_idle).map(stay).collect();
    let take_part = |number| {
        let at = joins_at(load.n_idle + number);
        tokio::spawn(LightPlayer::new(place.clone(), pace.clone(), number, load.seed, at).run())
    };
    let players: Vec<_> = (0..load.n_players).map(take_part).collect();
    let n_all = load.n_players + load.n_idle;
    let last = joins_at(n_all) + ALL_IN_WITHIN;
    while pace.n_in() < n_all && Instant::now() < last {
        sleep(Duration::from_millis(50)).await;
    }
    sleep(QUIET).await;
    let all_in = meter.look();
    show(&format!("{} of {n_all} are in", pace.n_in()));

    let from = Instant::now() + SETTLE;
    let to = from + Duration::from_secs_f64(load.seconds);
    pace.go_on(Stage::Playing { from, to });
    sleep_until(from).await;
    let (server_from, own_from) = (meter.look(), own.look());
    sleep_until(to).await;
    let (server_to, own_to) = (meter.look(), own.look());
    pace.go_on(Stage::Ending { by: Instant::now() + ALL_SAFE_WITHIN });
    let players = all(players).await;
    pace.go_on(Stage::Over);
    let idle = all(idle).await;
    let conductors = all(conductors).await;
    let n = |is: fn(&(bool, bool)) -> bool| idle.iter().filter(|one| is(one)).count() as u32;
    Taken {
        players,
        conductors,
        measured: (from, to),
        n_idle_in: n(|one| one.0),
        n_idle_stayed: n(|one| one.1),
        before,
        all_in,
        from: server_from,
        to: server_to,
        own_from,
        own_to,
    }
}

async fn all<T>(tasks: Vec<tokio::task::JoinHandle<T>>) -> Vec<T> {
    let mut done = Vec::with_capacity(tasks.len());
    for task in tasks {
        done.push(task.await.expect("nobody who takes part panics"));
    }
    done
}
