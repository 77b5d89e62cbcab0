//! From what a room wants kept to what the records hold. It must know neither rules nor SQL.

use crate::store::{Bound, PlayerRecord, Record, token_sha256};
use windrow_room::{Binding, Kept};

/// As the records take it, in a session.
pub(crate) fn record_of(session_id: &str, kept: Kept) -> Record {
    let session_id = session_id.to_owned();
    match kept {
        Kept::Player { player_id, chair, name, instrument, calibrated, token, person_id, binding } => {
            Record::Player(PlayerRecord {
                session_id,
                player_id,
                chair,
                name,
                instrument: instrument.slug(),
                calibrated,
                token_sha256: token_sha256(&token),
                person_id,
                bound: match binding {
                    Binding::Person => Bound::Person,
                    Binding::Confirmed => Bound::Confirmed,
                    Binding::Nobody => Bound::Nobody,
                },
            })
        }
        Kept::Score { score } => Record::Score { session_id, score },
        Kept::Pulses { player_id, seq, pulses } => Record::Pulses { player_id, seq, pulses },
        Kept::Span { player_id, result, state } => Record::Span { player_id, result, state },
        Kept::Run(run) => Record::Run { session_id, run },
        Kept::Plan { taken_us, title, text } => Record::Plan { session_id, taken_us, title, text },
        Kept::Check { checked_us, found } => Record::Check { session_id, checked_us, found },
    }
}
