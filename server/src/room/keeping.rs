//! Between a room and the records: from what it wants kept to what they hold, and what they know of a device that comes. It
//! must know neither rules nor SQL.

use crate::store::{Bound, PlayerRecord, Record, Store, StoreError, token_sha256};
use windrow_room::{Binding, Kept, KnownDevice};

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

/// What the records know of the device with this token.
pub(super) async fn known_device(store: &Store, session_id: &str, token: Option<&str>) -> KnownDevice {
    let Some(token) = token else { return KnownDevice::default() };
    let token_sha256 = token_sha256(token);
    let known = async {
        let device = store.device(&token_sha256).await?;
        Ok::<_, StoreError>((device, store.acknowledged(&token_sha256, session_id).await?))
    };
    match known.await {
        Ok((None, _)) => KnownDevice::default(),
        Ok((Some(d), acknowledged)) => {
            KnownDevice { is_known: true, person_id: d.person_id, is_confirmed: d.is_confirmed, acknowledged }
        }
        Err(error) => {
            tracing::warn!(%error, "a device could not be looked up");
            // It keeps its token, and so is itself again when the records can be read.
            KnownDevice { is_known: true, ..KnownDevice::default() }
        }
    }
}
