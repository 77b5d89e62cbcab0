//! A document into the records: whole or not at all, never twice. It must know no SQL and no pages.

use super::document::{Document, Kind, Player, Session};
use crate::roster::dates::unix_ms_of;
use crate::store::{
    NewSession, Record, SessionBrought, SessionKind, SessionPlayerRow, SessionRow, Store, StoreError,
};
use windrow_protocol::messages::{Pulse, PulseBatch, SpanResult};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Micros;

/// What became of a document.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct TakenIn {
    /// Sessions that came, and those that were here already.
    pub(crate) n_new: usize,
    pub(crate) n_here: usize,
    /// Players that came, and how many of them are somebody of the lists here.
    pub(crate) n_players: usize,
    pub(crate) n_known: usize,
}

/// Why nothing was taken in.
#[derive(Debug, thiserror::Error)]
pub(crate) enum CannotTakeIn {
    /// The records said no.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// In words for the person; a full stop follows.
    #[error("{}", crate::words::english(.0))]
    Cannot(Phrase),
}

/// Takes in what is not here yet. People are found again by their id, else by name and instrument in the section of that name, where
/// only one is of both; all others are kept without a place in a list.
///
/// # Errors
/// When it cannot be; then nothing is changed.
pub(crate) async fn take_in(store: &Store, document: Document) -> Result<TakenIn, CannotTakeIn> {
    let Document { rehearsal_id, sessions, .. } = document;
    let (mut taken, mut brought) = (TakenIn::default(), Vec::new());
    for session in sessions {
        if store.has_session(&session.session_id, &session.origin_id).await? {
            taken.n_here += 1;
            continue;
        }
        let session = bring(store, &rehearsal_id, session).await?;
        taken.n_new += 1;
        taken.n_players += session.players.len();
        taken.n_known += session.players.iter().filter(|player| player.person_id.is_some()).count();
        brought.push(session);
    }
    if !brought.is_empty() {
        store.bring_sessions(&brought).await?;
    }
    Ok(taken)
}

async fn bring(store: &Store, rehearsal_id: &str, session: Session) -> Result<SessionBrought, CannotTakeIn> {
    let section_name = session.section_name.to_string();
    let (mut players, mut records) = (Vec::new(), Vec::new());
    for player in session.players {
        if store.has_player(&player.player_id).await? {
            let elsewhere = Phrase::of("records-player-elsewhere").with("name", player.name.to_string());
            return Err(CannotTakeIn::Cannot(elsewhere));
        }
        records.extend(played(&player));
        let mut row = SessionPlayerRow {
            player_id: player.player_id,
            person_id: player.person_id,
            name: player.name.to_string(),
            instrument: player.instrument.slug().to_owned(),
            chair: i64::from(player.chair),
            calibrated: player.calibrated,
        };
        row.person_id = store.person_brought(&section_name, &row).await?;
        players.push(row);
    }
    let session_id = session.session_id;
    let of = || session_id.clone();
    records.extend(session.scores.into_iter().map(|score| Record::Score { session_id: of(), score }));
    records.extend(session.plans.into_iter().map(|plan| Record::Plan {
        session_id: of(),
        taken_us: plan.taken_us as f64,
        title: plan.title,
        text: plan.text,
    }));
    records.extend(session.room_checks.into_iter().map(|check| Record::Check {
        session_id: of(),
        checked_us: check.checked_us as f64,
        found: Box::new(check.found),
    }));
    records.extend(session.runs.into_iter().map(|run| Record::Run { session_id: of(), run: Box::new(run) }));
    let kind = match session.kind {
        Kind::Rehearsal => SessionKind::Rehearsal,
        Kind::Practice => SessionKind::Practice,
        Kind::Recording => SessionKind::Recording,
    };
    let session = NewSession {
        row: SessionRow {
            session_id: of(),
            // Its door is closed.
            code: String::new(),
            section_name,
            a4_hz: session.a4_hz.get(),
            time_nought_unix_ms: unix_ms_of(&session.time_nought_utc).unwrap_or_default(),
        },
        kind,
        rehearsal_id: (rehearsal_id != session_id).then(|| rehearsal_id.to_owned()),
        origin_id: Some(session.origin_id),
        invented: session.invented,
        ended_us: session.ended_us,
    };
    Ok(SessionBrought { session, players, records })
}

/// A player's pulses and span results, numbered anew: the device's own numbers told it what is safe, and that is long over.
fn played(player: &Player) -> Vec<Record> {
    let pulses = &player.pulses;
    let all: Vec<Pulse> = (0..pulses.len())
        .filter_map(|i| {
            Some(Pulse {
                time_us: Micros::clamped(pulses.time_us[i] as f64)?,
                depth_db: pulses.depth_db_pp[i],
                swing_cents: pulses.swing_cents_pp[i],
                mean_cents: pulses.mean_cents[i],
                choked: pulses.choked[i],
            })
        })
        .collect();
    let batches = (1..).zip(all.chunks(PulseBatch::MAX)).map(|(seq, pulses)| Record::Pulses {
        player_id: player.player_id.clone(),
        seq,
        pulses: pulses.to_vec(),
    });
    let spans = (1..).zip(&player.span_results).map(|(seq, span)| Record::Span {
        player_id: player.player_id.clone(),
        state: span.state,
        result: Box::new(SpanResult {
            seq,
            score_version: span.score_version,
            span_idx: span.span_idx,
            n_pulses: span.n_pulses,
            pulse_rate_hz: span.pulse_rate_hz,
            depth_db_pp: span.depth_db_pp,
            swing_cents_pp: span.swing_cents_pp,
            centre_cents: span.centre_cents,
            evenness_cv: span.evenness_cv,
            timing_ms: span.timing_ms,
        }),
    });
    batches.chain(spans).collect()
}
