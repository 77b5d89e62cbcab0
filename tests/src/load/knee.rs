//! How many players a server bears: more and more until the tempo or the page comes too late.

use super::{Figures, Load, run_alone};
use serde::Serialize;
use std::path::Path;

/// Asked of a server: the tempo at 99 % of the players, and a reading on the page in 99 % of the cases.
const TEMPO_WITHIN_MS: f64 = 50.0;
const PAGE_WITHIN_MS: f64 = 250.0;
/// From one try to the next.
const GROWTH: f64 = 1.5;
/// Tries between the last that was borne and the first that was not.
const HALVINGS: u32 = 2;
/// Chairs of a room.
const CHAIRS: u32 = 256;
/// Open files of a process leave room for this many.
const MOST: u32 = 15_000;

/// One try.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Try {
    /// Players.
    pub players: u32,
    /// As in [`Figures`].
    pub tempo_p99_ms: f64,
    /// As in [`Figures`].
    pub reading_to_page_p99_ms: f64,
    /// As in [`Figures`].
    pub server_cpu_share: f64,
    /// As in [`Figures`].
    pub players_cpu_share: f64,
    /// As in [`Figures`].
    pub lost: u64,
    /// Whether both came in time and nothing was lost.
    pub is_borne: bool,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Knee {
    /// Most players that were borne.
    pub borne: u32,
    /// Fewest that were not; absent where none was too many.
    pub not_borne: Option<u32>,
    /// In the order in which they were made.
    pub tries: Vec<Try>,
}

/// Begins with the load's players and goes on with more, each time on a fresh server.
///
/// # Panics
/// As [`super::run`].
pub async fn find_knee(program: &Path, load: Load, mut show: impl FnMut(&str)) -> Knee {
    let most = MOST.min(CHAIRS * load.n_rooms).max(1);
    let mut knee = Knee { borne: 0, not_borne: None, tries: Vec::new() };
    let mut n_players = load.n_players.clamp(1, most);
    let mut n_halvings = 0;
    loop {
        show(&format!("{n_players} players"));
        let figures = run_alone(program, Load { n_players, ..load }, &mut show).await;
        let tried = Try::of(&figures);
        if tried.is_borne {
            knee.borne = n_players;
        } else {
            knee.not_borne = Some(n_players);
        }
        knee.tries.push(tried);
        n_players = match knee.not_borne {
            None if n_players == most => return knee,
            None => ((f64::from(n_players) * GROWTH) as u32).max(n_players + 1).min(most),
            Some(_) if n_halvings == HALVINGS => return knee,
            Some(too_many) => {
                n_halvings += 1;
                knee.borne.midpoint(too_many)
            }
        };
        if n_players == knee.borne || Some(n_players) == knee.not_borne || n_players == 0 {
            return knee;
        }
    }
}

impl Try {
    fn of(figures: &Figures) -> Self {
        let in_time =
            figures.tempo_p99_ms <= TEMPO_WITHIN_MS && figures.reading_to_page_p99_ms <= PAGE_WITHIN_MS;
        Self {
            players: figures.players,
            tempo_p99_ms: figures.tempo_p99_ms,
            reading_to_page_p99_ms: figures.reading_to_page_p99_ms,
            server_cpu_share: figures.server_cpu_share,
            players_cpu_share: figures.players_cpu_share,
            lost: figures.lost,
            is_borne: in_time && figures.lost == 0 && figures.not_in == 0 && figures.broken == 0,
        }
    }
}
