//! The demonstration's records: weeks that never were, before the one that is played now. It must hold no rule of how they are made.

use super::DemoOptions;
use crate::clock::unix_ms;
use crate::invented::{Invited, Season, invent};
use crate::serving::make_private_dir;
use anyhow::Context;
use std::io::{IsTerminal, Write, stderr};
use std::path::Path;

/// People of the invented weeks.
const N_PEOPLE: u16 = 12;
const DAY_MS: i64 = 24 * 3600 * 1000;
/// Rehearsals begin at four in the afternoon (UTC).
const BEGINS_MS: i64 = 16 * 3600 * 1000;

/// Invents what is asked for; who was in these weeks, with the devices they had.
///
/// # Errors
/// What kept it from being written, ready to be shown.
pub(super) async fn invented(options: &DemoOptions, data_dir: &Path) -> anyhow::Result<Vec<Invited>> {
    let Some(n_weeks) = options.weeks else { return Ok(Vec::new()) };
    make_private_dir(data_dir).await.with_context(|| format!("cannot make {}", data_dir.display()))?;
    let season = Season {
        n_weeks,
        n_people: N_PEOPLE,
        seed: options.seed,
        // A week ago today, since today is the next rehearsal.
        last_unix_ms: unix_ms() / DAY_MS * DAY_MS - 7 * DAY_MS + BEGINS_MS,
        language: options.language,
    };
    let is_seen = stderr().is_terminal();
    let show = |week: u16| {
        if is_seen {
            // A terminal that is gone need not know.
            let _ = write!(stderr(), "\rInventing week {week} of {n_weeks} ");
        }
    };
    let invited = invent(data_dir, season, show).await;
    if is_seen {
        let _ = writeln!(stderr());
    }
    invited.with_context(|| data_dir.display().to_string())
}
