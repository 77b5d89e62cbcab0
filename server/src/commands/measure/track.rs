//! Level, pitch and pulse rate ten times a second, for programs that draw or compare. Pure: knows readings, no files and
//! no text formats.

use windrow_analysis::{Hearing, Reading};
use windrow_protocol::note::Note;

/// Rows a second.
const ROWS_PER_S: f64 = 10.0;
/// Readings come every 0.05 s; between two further apart than this nothing is known.
const LONGEST_STEP_S: f64 = 0.15;
/// A reading speaks alone for moments this near to it, seconds.
const NEAR_S: f64 = 0.03;
/// Neighbouring readings further apart than this in pitch are two notes, in semitones: there is nothing between them.
const ONE_NOTE: f64 = 0.7;

/// Seconds from the start of the file; level in dB re full scale (of the player's own harmonics, where no note is found
/// of the whole sound); cents from the note; pulses a second, where it can be trusted.
pub(super) type Row = (f64, Option<f64>, Option<f64>, Option<f64>);

/// The track of a file: a row at 0.0, 0.1 and so on, as long as the file lasts. Cents count from `note`.
pub(super) fn track(readings: &[Reading], duration_s: f64, note: Option<Note>) -> Vec<Row> {
    let mut known: Vec<&Reading> = Vec::with_capacity(readings.len());
    for reading in readings {
        // In a choked valley a reading speaks for the last moment that sounded, as the one before it did.
        if known.last().is_none_or(|last| last.time_s < reading.time_s) {
            known.push(reading);
        }
    }
    // The tiny share keeps the last row of a file whose length is a whole number of tenths.
    let n_rows = (duration_s * ROWS_PER_S + 1e-6).floor() as usize + 1;
    (0..n_rows)
        .map(|i| {
            let t = i as f64 / ROWS_PER_S;
            let moment = Moment::at(&known, t);
            let cents = note.zip(moment.midi()).map(|(note, midi)| 100.0 * (midi - f64::from(note.midi())));
            (t, moment.level_db(), cents, moment.pulse_rate_hz())
        })
        .collect()
}

/// A moment and the readings around it.
struct Moment<'a> {
    before: Option<&'a Reading>,
    after: Option<&'a Reading>,
    /// The nearer one, if it is near.
    near: Option<&'a Reading>,
    /// Share of the way from the one to the other.
    share: f64,
}

impl<'a> Moment<'a> {
    fn at(known: &[&'a Reading], t: f64) -> Self {
        let i = known.partition_point(|r| r.time_s < t);
        let (before, after) = (i.checked_sub(1).map(|j| known[j]), known.get(i).copied());
        let distance_s = |r: &&Reading| (r.time_s - t).abs();
        let near = before.into_iter().chain(after).min_by(|a, b| distance_s(a).total_cmp(&distance_s(b)));
        let near = near.filter(|r| distance_s(r) <= NEAR_S);
        let step_s = before.zip(after).map(|(b, a)| a.time_s - b.time_s).filter(|s| *s <= LONGEST_STEP_S);
        let (before, after) = if step_s.is_some() { (before, after) } else { (None, None) };
        let share = before.zip(step_s).map_or(0.0, |(b, step_s)| (t - b.time_s) / step_s);
        Self { before, after, near, share }
    }

    fn between(&self, of: impl Fn(&Reading) -> Option<f64>) -> Option<(f64, f64)> {
        Some((of(self.before?)?, of(self.after?)?))
    }

    fn level_db(&self) -> Option<f64> {
        let along = self.between(|r| Some(r.level_db)).map(|(b, a)| b + self.share * (a - b));
        along.or(self.near.map(|r| r.level_db))
    }

    fn midi(&self) -> Option<f64> {
        let of = |r: &Reading| Some(f64::from(r.note_midi?) + r.cents? / 100.0);
        let same_note = self.between(of).filter(|(b, a)| (a - b).abs() <= ONE_NOTE);
        same_note.map(|(b, a)| b + self.share * (a - b)).or_else(|| of(self.near?))
    }

    fn pulse_rate_hz(&self) -> Option<f64> {
        let nearer = if self.share < 0.5 { self.before } else { self.after };
        let reading = nearer.or(self.near)?;
        reading.pulse_rate_hz.filter(|_| reading.trusted() && reading.hearing == Hearing::Pulsed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(time_s: f64, level_db: f64, cents: Option<f64>) -> Reading {
        let mut reading = Reading::empty(Hearing::Pulsed, level_db, time_s);
        (reading.cents, reading.note_midi) = (cents, cents.map(|_| 69));
        (reading.trust, reading.pulse_rate_hz) = (1.0, cents.map(|_| 5.0));
        reading
    }

    #[test]
    fn rows_lie_on_tenths_and_between_readings_there_is_a_line() {
        let readings = [reading(0.08, -20.0, Some(4.0)), reading(0.13, -30.0, Some(-6.0))];
        let rows = track(&readings, 0.3, Note::from_midi(68));
        assert_eq!(rows.iter().map(|r| r.0).collect::<Vec<_>>(), [0.0, 0.1, 0.2, 0.3]);
        // Two fifths of the way; the note is a semitone below the readings'.
        let (_, level_db, cents, rate_hz) = rows[1];
        assert!((level_db.unwrap() + 24.0).abs() < 1e-9 && (cents.unwrap() - 100.0).abs() < 1e-9);
        assert_eq!(rate_hz, Some(5.0));
        for row in [rows[0], rows[2], rows[3]] {
            assert_eq!((row.1, row.2, row.3), (None, None, None), "far from every reading");
        }
    }

    #[test]
    fn what_is_not_known_or_not_trusted_is_null() {
        let mut doubtful = reading(0.1, -20.0, Some(4.0));
        doubtful.trust = 0.4;
        let silence = Reading::empty(Hearing::Silence, -80.0, 0.2);
        let rows = track(&[doubtful, silence], 0.2, Note::from_midi(69));
        assert_eq!((rows[1].1, rows[1].3), (Some(-20.0), None));
        assert!((rows[1].2.unwrap() - 4.0).abs() < 1e-9, "{rows:?}");
        assert_eq!(rows[2], (0.2, Some(-80.0), None, None));
        assert_eq!(track(&[], 0.05, None), [(0.0, None, None, None)]);
    }

    #[test]
    fn nothing_lies_between_two_notes() {
        let readings = [reading(0.08, -20.0, Some(0.0)), reading(0.13, -20.0, Some(200.0))];
        assert_eq!(track(&readings, 0.1, Note::from_midi(69))[1].2, Some(0.0));
    }
}
