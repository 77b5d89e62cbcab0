//! Pulses of sessions that are over: a row each while they come, so that each is safe by itself, and then one blob a player,
//! which takes an eighteenth of the room (our own measurement; see DEVELOPERS.md). It must not know what pulses mean.
//!
//! A pack keeps times to 0.1 ms, depths to 0.01 dB, swings and mean pitches to 0.1 cent: a twentieth, a third and a tenth of
//! the medians by which a pulse is off in clean sound (2 ms, 0.03 dB and 0.1 cent asked or measured; see DEVELOPERS.md). What
//! was packed and is packed again stays the same to the bit.

use super::personal::PulseRow;
use super::records::{Store, StoreError};
use sqlx::Row;
use sqlx::sqlite::SqliteConnection;
use std::time::Duration;

/// First byte of a pack; another form gets another one.
const FORM: u8 = 1;
const TIME_STEP_US: f64 = 100.0;
const DEPTH_STEPS_A_DB: f64 = 100.0;
const STEPS_A_CENT: f64 = 10.0;
/// Flags below a pulse's depth.
const CHOKED: u64 = 1;
const HAS_MEAN: u64 = 2;
const GOES_BACK: u64 = 4;
const FLAG_BITS: u32 = 3;
/// Between two players: the writer of a rehearsal that goes on never waits for more than one of them.
const PAUSE: Duration = Duration::from_millis(20);

/// What was in a player's pack, or nothing.
#[derive(Debug, Clone, PartialEq, Default)]
struct Packed {
    pulses: Vec<PulseRow>,
    last_seq: i64,
}

impl Store {
    /// Packs the pulses of every session but those of rehearsals which go on, a player a transaction. Gives the number
    /// of players whose pulses were packed; what is packed already is not counted.
    ///
    /// # Errors
    /// When the records cannot be read or written; what was packed until then is whole.
    pub async fn pack_pulses(&self) -> Result<u64, StoreError> {
        let players = sqlx::query(
            "select p.player_id from players p
             where p.session_id not in (select s.session_id from sessions s, sessions o join rooms_served v on v.session_id = o.session_id
                   where o.ended_us is null and coalesce(s.rehearsal_id, s.session_id) = coalesce(o.rehearsal_id, o.session_id))
             and exists (select 1 from pulses u where u.player_id = p.player_id)",
        )
        .fetch_all(self.pool())
        .await?;
        let mut n_packed = 0;
        for row in players {
            self.pack_pulses_of(row.try_get("player_id")?).await?;
            n_packed += 1;
            tokio::time::sleep(PAUSE).await;
        }
        Ok(n_packed)
    }

    async fn pack_pulses_of(&self, player_id: &str) -> Result<(), StoreError> {
        // Begun as a write: one that begins by reading can be refused when it comes to writing.
        let mut transaction = self.pool().begin_with("begin immediate").await?;
        let Packed { mut pulses, mut last_seq } = packed_of(&mut transaction, player_id).await?;
        pulses.extend(loose_of(&mut transaction, player_id).await?);
        let newest = sqlx::query("select max(seq) as seq from pulses where player_id = ?")
            .bind(player_id)
            .fetch_one(&mut *transaction)
            .await?;
        last_seq = last_seq.max(newest.try_get::<Option<i64>, _>("seq")?.unwrap_or(0));
        sqlx::query(
            "insert into pulse_packs (player_id, n_pulses, last_seq, pulses) values (?, ?, ?, ?)
             on conflict (player_id) do update
             set n_pulses = excluded.n_pulses, last_seq = excluded.last_seq, pulses = excluded.pulses",
        )
        .bind(player_id)
        .bind(i64::try_from(pulses.len()).unwrap_or(i64::MAX))
        .bind(last_seq)
        .bind(pack(&pulses))
        .execute(&mut *transaction)
        .await?;
        sqlx::query("delete from pulses where player_id = ?")
            .bind(player_id)
            .execute(&mut *transaction)
            .await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Every pulse of a player in one session, in the order they came, packed or not.
    ///
    /// # Errors
    /// When they cannot be read, or a pack is damaged.
    pub async fn pulses_of(&self, player_id: &str) -> Result<Vec<PulseRow>, StoreError> {
        // One picture of both tables: between two statements the pulses may be packed.
        let mut transaction = self.pool().begin().await?;
        let mut pulses = packed_of(&mut transaction, player_id).await?.pulses;
        pulses.extend(loose_of(&mut transaction, player_id).await?);
        Ok(pulses)
    }
}

async fn packed_of(connection: &mut SqliteConnection, player_id: &str) -> Result<Packed, StoreError> {
    let row = sqlx::query("select last_seq, pulses from pulse_packs where player_id = ?")
        .bind(player_id)
        .fetch_optional(connection)
        .await?;
    let Some(row) = row else { return Ok(Packed::default()) };
    let pulses = unpack(row.try_get("pulses")?).ok_or(StoreError::DamagedPack)?;
    Ok(Packed { pulses, last_seq: row.try_get("last_seq")? })
}

async fn loose_of(connection: &mut SqliteConnection, player_id: &str) -> Result<Vec<PulseRow>, StoreError> {
    let rows = sqlx::query(
        "select time_us, depth_db, swing_cents, mean_cents, choked from pulses
         where player_id = ? order by seq, pulse_idx",
    )
    .bind(player_id)
    .fetch_all(connection)
    .await?;
    let row = |r: &sqlx::sqlite::SqliteRow| {
        Ok(PulseRow {
            time_us: r.try_get("time_us")?,
            depth_db: r.try_get("depth_db")?,
            swing_cents: r.try_get("swing_cents")?,
            mean_cents: r.try_get("mean_cents")?,
            choked: r.try_get("choked")?,
        })
    };
    rows.iter().map(row).collect()
}

/// Whole steps.
fn steps(value: f64, steps_a_unit: f64) -> i64 {
    // What is no number becomes nought, what is too large the largest there is; neither comes from a device.
    (value * steps_a_unit).round() as i64
}

/// Each pulse as what differs from the one before: time gone by, depth with its flags, swing, and mean pitch where there is
/// one, each as a number of variable length.
fn pack(pulses: &[PulseRow]) -> Vec<u8> {
    let mut bytes = vec![FORM];
    let (mut time, mut depth, mut swing, mut mean) = (0i64, 0i64, 0i64, 0i64);
    for pulse in pulses {
        let next_time = steps(pulse.time_us as f64, 1.0 / TIME_STEP_US);
        let next_depth = steps(pulse.depth_db, DEPTH_STEPS_A_DB);
        let next_swing = steps(pulse.swing_cents, STEPS_A_CENT);
        let flags = if pulse.choked { CHOKED } else { 0 }
            | if pulse.mean_cents.is_some() { HAS_MEAN } else { 0 }
            | if next_time < time { GOES_BACK } else { 0 };
        put(&mut bytes, next_time.abs_diff(time));
        put(&mut bytes, zigzag(next_depth.wrapping_sub(depth)) << FLAG_BITS | flags);
        put(&mut bytes, zigzag(next_swing.wrapping_sub(swing)));
        (time, depth, swing) = (next_time, next_depth, next_swing);
        if let Some(mean_cents) = pulse.mean_cents {
            let next_mean = steps(mean_cents, STEPS_A_CENT);
            put(&mut bytes, zigzag(next_mean.wrapping_sub(mean)));
            mean = next_mean;
        }
    }
    bytes
}

/// What was packed, to the steps of a pack; `None` where the bytes are none.
fn unpack(bytes: &[u8]) -> Option<Vec<PulseRow>> {
    let (&FORM, mut rest) = bytes.split_first()? else { return None };
    let (mut time, mut depth, mut swing, mut mean) = (0i64, 0i64, 0i64, 0i64);
    let mut pulses = Vec::new();
    while !rest.is_empty() {
        let gone_by = i64::try_from(take(&mut rest)?).ok()?;
        let head = take(&mut rest)?;
        time = if head & GOES_BACK == 0 { time.checked_add(gone_by) } else { time.checked_sub(gone_by) }?;
        depth = depth.checked_add(unzigzag(head >> FLAG_BITS))?;
        swing = swing.checked_add(unzigzag(take(&mut rest)?))?;
        let mean_cents = if head & HAS_MEAN == 0 {
            None
        } else {
            mean = mean.checked_add(unzigzag(take(&mut rest)?))?;
            Some(mean as f64 / STEPS_A_CENT)
        };
        pulses.push(PulseRow {
            time_us: time.checked_mul(TIME_STEP_US as i64)?,
            depth_db: depth as f64 / DEPTH_STEPS_A_DB,
            swing_cents: swing as f64 / STEPS_A_CENT,
            mean_cents,
            choked: head & CHOKED != 0,
        });
    }
    Some(pulses)
}

/// Small numbers of either sign as small ones without.
fn zigzag(value: i64) -> u64 {
    ((value << 1) ^ (value >> 63)) as u64
}

fn unzigzag(value: u64) -> i64 {
    (value >> 1) as i64 ^ -((value & 1) as i64)
}

/// Seven bits a byte, the lowest first; the highest bit says that more follow (LEB128).
fn put(bytes: &mut Vec<u8>, mut value: u64) {
    while value >= 0x80 {
        bytes.push(value as u8 | 0x80);
        value >>= 7;
    }
    bytes.push(value as u8);
}

fn take(rest: &mut &[u8]) -> Option<u64> {
    let mut value = 0u64;
    for place in 0..10 {
        let (&byte, after) = rest.split_first()?;
        *rest = after;
        let bits = u64::from(byte & 0x7f);
        // The tenth byte has room for one bit.
        if place == 9 && bits > 1 {
            return None;
        }
        value |= bits << (7 * place);
        if byte & 0x80 == 0 {
            return Some(value);
        }
    }
    None
}

#[cfg(test)]
#[path = "pack_tests.rs"]
mod tests;
