//! Who plays in the invented weeks: twelve people of the Larkmoor Youth Winds, what each can do at first and in the end, and what
//! happens to them on the way. All of it is made up; no number comes from a person. Pure.

use super::dice::Dice;
use super::skill::Skill;
use windrow_protocol::instrument::Instrument;

/// Somebody who begins, without a fault of their own: eighths at 80 and no faster, unsteady, rather small.
pub(super) const BEGINNER: Skill = Skill {
    ceiling_hz: 2.7,
    scatter_ms: 32.0,
    late_ms: 12.0,
    depth_db: 4.2,
    swing_cents: 16.0,
    choked_share: 0.0,
    straight_cents: 4.0,
    drift_cents_per_s: 0.6,
    drift_cents: 7.0,
};

/// What somebody without a fault comes to: sixteenths at 84.
const GOOD: Skill = Skill {
    ceiling_hz: 5.7,
    scatter_ms: 10.0,
    late_ms: 4.0,
    depth_db: 6.8,
    swing_cents: 12.0,
    choked_share: 0.0,
    straight_cents: 1.0,
    drift_cents_per_s: 0.1,
    drift_cents: 2.0,
};

/// Rehearsals after which two thirds of the way are gone (1 - 1/e). Our own choice.
const USUAL_REHEARSALS: f64 = 5.0;
/// What a practice at home is worth against a rehearsal. Our own choice.
pub(super) const PRACTICE_IS_WORTH: f64 = 0.5;
/// How often somebody is ill in a week in which nothing else is the matter. Our own choice.
const ILL: f64 = 0.04;

/// One of the twelve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Person {
    pub(super) name: &'static str,
    instrument: Instrument,
    begin: Skill,
    end: Skill,
    /// Rehearsals after which two thirds of the way are gone.
    rehearsals: f64,
    /// The first week, from 1.
    comes: u16,
    /// Weeks in which the person is away.
    away: &'static [u16],
    /// From a week on some pulses a second more.
    leap: Option<(u16, f64)>,
    /// From a week on another instrument.
    changes: Option<(u16, Instrument)>,
    /// Practices at home between two rehearsals.
    pub(super) practices: u16,
}

const SOMEBODY: Person = Person {
    name: "",
    instrument: Instrument::Flute,
    begin: BEGINNER,
    end: GOOD,
    rehearsals: USUAL_REHEARSALS,
    comes: 1,
    away: &[],
    leap: None,
    changes: None,
    practices: 0,
};

/// In chair order.
pub(super) const CAST: [Person; 12] = [
    // All is well, little by little.
    Person { name: "Imogen", end: Skill { ceiling_hz: 5.9, ..GOOD }, ..SOMEBODY },
    // Late, and hears it more and more.
    Person {
        name: "Tobias",
        begin: Skill { late_ms: 88.0, ceiling_hz: 3.1, ..BEGINNER },
        end: Skill { late_ms: 20.0, ceiling_hz: 5.4, ..GOOD },
        ..SOMEBODY
    },
    // Early and uneven at first, then one week it is there.
    Person {
        name: "Wren",
        begin: Skill { late_ms: -34.0, scatter_ms: 42.0, ceiling_hz: 2.4, ..BEGINNER },
        end: Skill { ceiling_hz: 5.0, ..GOOD },
        leap: Some((6, 1.1)),
        ..SOMEBODY
    },
    // New in the fifth week.
    Person { name: "Odette", comes: 5, rehearsals: 4.0, ..SOMEBODY },
    // In tune as long as there is no vibrato.
    Person {
        name: "Hadley",
        instrument: Instrument::Oboe,
        begin: Skill { drift_cents_per_s: 2.2, drift_cents: 34.0, ..BEGINNER },
        end: Skill { drift_cents_per_s: 0.4, drift_cents: 8.0, ceiling_hz: 5.3, ..GOOD },
        ..SOMEBODY
    },
    // Pulses too small to be heard in a hall.
    Person {
        name: "Sorrel",
        instrument: Instrument::Oboe,
        begin: Skill { depth_db: 1.9, swing_cents: 7.0, ..BEGINNER },
        end: Skill { depth_db: 4.9, swing_cents: 9.0, ceiling_hz: 5.2, ..GOOD },
        rehearsals: 7.0,
        ..SOMEBODY
    },
    // Stuck: eighths go, and hardly more.
    Person {
        name: "Maeve",
        instrument: Instrument::ClarinetBb,
        begin: Skill { ceiling_hz: 2.5, ..BEGINNER },
        end: Skill { ceiling_hz: 3.1, scatter_ms: 22.0, depth_db: 5.2, ..GOOD },
        ..SOMEBODY
    },
    // The jaw moves the pitch.
    Person {
        name: "Piers",
        instrument: Instrument::AltoSax,
        begin: Skill { swing_cents: 58.0, depth_db: 2.4, ..BEGINNER },
        end: Skill { swing_cents: 17.0, depth_db: 6.0, ceiling_hz: 5.5, ..GOOD },
        rehearsals: 3.5,
        ..SOMEBODY
    },
    // So deep that the air stops.
    Person {
        name: "Anouk",
        instrument: Instrument::AltoSax,
        begin: Skill { depth_db: 27.0, choked_share: 0.7, ceiling_hz: 2.9, ..BEGINNER },
        end: Skill { depth_db: 9.5, choked_share: 0.02, ceiling_hz: 5.2, ..GOOD },
        rehearsals: 4.0,
        ..SOMEBODY
    },
    // Takes the tenor saxophone over in the seventh week.
    Person {
        name: "Rowan",
        instrument: Instrument::AltoSax,
        changes: Some((7, Instrument::TenorSax)),
        end: Skill { ceiling_hz: 5.3, ..GOOD },
        ..SOMEBODY
    },
    // Practises at home, twice between two rehearsals.
    Person {
        name: "Jasper",
        instrument: Instrument::Bassoon,
        begin: Skill { ceiling_hz: 2.3, scatter_ms: 36.0, ..BEGINNER },
        end: Skill { ceiling_hz: 6.1, scatter_ms: 8.0, ..GOOD },
        practices: 2,
        ..SOMEBODY
    },
    // Often away, and uneven.
    Person {
        name: "Callum",
        instrument: Instrument::Bassoon,
        begin: Skill { scatter_ms: 48.0, ..BEGINNER },
        end: Skill { scatter_ms: 16.0, ceiling_hz: 5.0, ..GOOD },
        away: &[3, 4, 8],
        ..SOMEBODY
    },
];

impl Person {
    /// Somebody of a larger band: one of the twelve again, with another name and strengths a little different.
    pub(super) fn another(&self, name: &'static str, dice: &mut Dice) -> Self {
        let mut shifted = |skill: &Skill| Skill {
            ceiling_hz: skill.ceiling_hz + 0.25 * dice.scatter(),
            scatter_ms: skill.scatter_ms * (1.0 + 0.1 * dice.scatter()),
            ..*skill
        };
        let (begin, end) = (shifted(&self.begin), shifted(&self.end));
        Self { name, begin, end, comes: 1, away: &[], changes: None, ..*self }
    }

    /// What is played in a week, from 1.
    pub(super) fn instrument(&self, week: u16) -> Instrument {
        self.changes.filter(|(from, _)| week >= *from).map_or(self.instrument, |(_, other)| other)
    }

    /// Whether the person belongs to the section yet.
    pub(super) fn has_come(&self, week: u16) -> bool {
        week >= self.comes
    }

    /// Whether the person is at the rehearsal of a week.
    pub(super) fn is_in(&self, week: u16, dice: &mut Dice) -> bool {
        let is_well = dice.throw() >= ILL;
        self.has_come(week) && !self.away.contains(&week) && is_well
    }

    /// What the person can do after so many rehearsals and what was practised between them.
    pub(super) fn skill(&self, week: u16, rehearsals: f64) -> Skill {
        let skill = self.begin.towards(&self.end, 1.0 - (-rehearsals / self.rehearsals).exp());
        let leap_hz = self.leap.filter(|(from, _)| week >= *from).map_or(0.0, |(_, hz)| hz);
        Skill { ceiling_hz: skill.ceiling_hz + leap_hz, ..skill }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;
    use windrow_protocol::units::Name;

    #[test]
    fn twelve_people_have_names_of_their_own() {
        let names: HashSet<&str> = CAST.iter().map(|person| person.name).collect();
        assert_eq!(names.len(), 12);
        assert!(names.iter().all(|name| Name::new(name).is_ok()));
    }

    #[test]
    fn whoever_rehearses_comes_nearer_to_the_end() {
        for person in &CAST {
            let [first, later, last] = [0.0, 4.0, 40.0].map(|n| person.skill(1, n));
            assert_eq!(first, person.begin, "{}", person.name);
            assert!(
                first.ceiling_hz < later.ceiling_hz && later.ceiling_hz < last.ceiling_hz,
                "{}",
                person.name
            );
            assert!((last.scatter_ms - person.end.scatter_ms).abs() < 0.3, "{}", person.name);
        }
    }

    #[test]
    fn what_happens_on_the_way_happens_in_its_week() {
        let of = |name: &str| CAST.iter().find(|person| person.name == name).unwrap();
        let well = || Dice::new(1);
        assert!(!of("Odette").is_in(4, &mut well()) && of("Odette").is_in(5, &mut well()));
        assert_eq!(of("Rowan").instrument(6), Instrument::AltoSax);
        assert_eq!(of("Rowan").instrument(7), Instrument::TenorSax);
        assert!(!of("Callum").is_in(3, &mut well()) && of("Callum").is_in(5, &mut well()));
        let leap = of("Wren").skill(6, 5.0).ceiling_hz - of("Wren").skill(5, 5.0).ceiling_hz;
        assert!((leap - 1.1).abs() < 1e-9);
    }
}
