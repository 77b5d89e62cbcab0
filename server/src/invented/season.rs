//! Invented weeks, one after another: who comes, what each can do by then, what is played, and who practises at home. The same seed
//! gives the same weeks to the last pulse. Pure but for the time it takes.

use super::cast::{CAST, PRACTICE_IS_WORTH, Person};
use super::device::ModelledDevice;
use super::dice::Dice;
use super::programme::{Marks, for_home, plan};
use super::rehearsal::{Comer, Played, play};
use super::skill::Skill;
use crate::plan::{Plan, compile};
use crate::player::larkmoor;
use crate::room::{self, Kept};
use crate::store::SessionKind;
use crate::words::Language;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Name;

const DAY_MS: i64 = 24 * 3600 * 1000;
const WEEK_MS: i64 = 7 * DAY_MS;
/// From a rehearsal to the first practice at home, and from one to the next.
const PRACTICE_MS: i64 = 2 * DAY_MS;
/// What is thrown for, so that each has dice of its own.
const ATTENDANCE: u64 = 1;
const PLAYING: u64 = 2;
const IDS: u64 = 3;
const OTHERS: u64 = 4;

/// What is to be invented.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Season {
    /// Weekly rehearsals.
    pub n_weeks: u16,
    /// People; the twelve, and beyond that others who are much like them.
    pub n_people: u16,
    /// The same seed invents the same.
    pub seed: u64,
    /// When the last rehearsal begins, Unix time.
    pub last_unix_ms: i64,
    /// Of the plans' texts.
    pub language: Language,
}

/// What a player's sound was made to be in a session.
#[derive(Debug, Clone, PartialEq)]
pub struct Truth {
    /// Name in the list.
    pub name: String,
    /// As the session's records have it.
    pub player_id: String,
    /// How it was played.
    pub skill: Skill,
}

/// A session that never was.
#[derive(Debug, Clone, PartialEq)]
pub struct InventedSession {
    /// Of this session; that of a rehearsal is its rehearsal's as well.
    pub session_id: String,
    /// A rehearsal or a practice.
    pub kind: SessionKind,
    /// Week, from 1.
    pub week: u16,
    /// Unix time of its server time nought.
    pub began_unix_ms: i64,
    /// Its end as server time.
    pub ended_us: i64,
    /// What the room wanted kept.
    pub kept: Vec<Kept>,
    /// What was behind it.
    pub truths: Vec<Truth>,
}

/// The weeks, as they come.
#[derive(Debug)]
pub struct Weeks {
    season: Season,
    people: Vec<Person>,
    person_ids: Vec<String>,
    /// What each has rehearsed and practised so far.
    rehearsed: Vec<f64>,
    marks: Marks,
    week: u16,
}

impl Season {
    /// Names and instruments of everybody in chair order, as the list has them after the last week.
    #[must_use]
    pub fn list(&self) -> Vec<(&'static str, Instrument)> {
        self.people().iter().map(|person| (person.name, person.instrument(self.n_weeks))).collect()
    }

    fn people(&self) -> Vec<Person> {
        let others = (12u64..).zip(larkmoor::more_names(CAST.len())).map(|(i, name)| {
            CAST[i as usize % CAST.len()].another(name, &mut Dice::of(self.seed, &[OTHERS, i]))
        });
        CAST.into_iter().chain(others).take(usize::from(self.n_people)).collect()
    }

    /// The weeks of a list whose people have these ids, in its order.
    #[must_use]
    pub fn weeks(self, person_ids: Vec<String>) -> Weeks {
        let people = self.people();
        let rehearsed = vec![0.0; people.len()];
        Weeks { season: self, people, person_ids, rehearsed, marks: Marks::FIRST, week: 0 }
    }
}

impl Weeks {
    /// The next week's sessions, the rehearsal first; `None` after the last week.
    ///
    /// # Errors
    /// What a room has against what is played in it.
    pub fn next_week(&mut self) -> Result<Option<Vec<InventedSession>>, Phrase> {
        if self.week == self.season.n_weeks {
            return Ok(None);
        }
        self.week += 1;
        let plan = plan(self.week, self.marks, self.season.language);
        let here: Vec<usize> = (0..self.people.len())
            .filter(|&i| self.people[i].is_in(self.week, &mut self.dice(&[ATTENDANCE, i as u64])))
            .collect();
        let began_unix_ms = self.rehearsal_ms();
        let (played, rehearsal) = self.session(SessionKind::Rehearsal, &here, &plan, began_unix_ms, 0)?;
        self.marks = self.marks.after(mean_matched(&played));
        for &i in &here {
            self.rehearsed[i] += 1.0;
        }
        let mut sessions = vec![rehearsal];
        for i in 0..self.people.len() {
            let person = self.people[i];
            for n in 0..if person.has_come(self.week) { person.practices } else { 0 } {
                let began_unix_ms = began_unix_ms + PRACTICE_MS * (i64::from(n) + 1);
                let at_home = for_home(&plan);
                let n = u64::from(n) + 1;
                let (_, practice) = self.session(SessionKind::Practice, &[i], &at_home, began_unix_ms, n)?;
                sessions.push(practice);
                self.rehearsed[i] += PRACTICE_IS_WORTH;
            }
        }
        Ok(Some(sessions))
    }

    /// Tokens of everybody's device, in the list's order: one a person, the same in all weeks.
    pub(super) fn tokens(&self) -> Vec<String> {
        (0..self.people.len()).map(|i| self.token(i)).collect()
    }

    fn token(&self, i: usize) -> String {
        let mut dice = Dice::of(self.season.seed, &[IDS, i as u64]);
        format!("invented-{:016x}{:016x}", dice.bits(), dice.bits())
    }

    fn rehearsal_ms(&self) -> i64 {
        self.season.last_unix_ms - i64::from(self.season.n_weeks - self.week) * WEEK_MS
    }

    /// Dice for something in this week.
    fn dice(&self, numbers: &[u64]) -> Dice {
        Dice::of(self.season.seed, &[&[u64::from(self.week)], numbers].concat())
    }

    /// One session; `n` tells those of a week apart.
    fn session(
        &self,
        kind: SessionKind,
        here: &[usize],
        plan: &Plan,
        began_unix_ms: i64,
        n: u64,
    ) -> Result<(Played, InventedSession), Phrase> {
        let person = |i: usize| room::Person {
            person_id: self.person_ids[i].clone(),
            name: Name::new(self.people[i].name).expect("an invented name is a name"),
            instrument: self.people[i].instrument(self.week),
            part: String::new(),
        };
        let comers: Vec<Comer> = here
            .iter()
            .map(|&i| {
                let seed = self.dice(&[PLAYING, n, i as u64]).bits();
                let skill = self.people[i].skill(self.week, self.rehearsed[i]);
                Comer {
                    person: person(i),
                    player_id: self.id(began_unix_ms, &[n, 1 + i as u64]),
                    token: self.token(i),
                    device: ModelledDevice::new(skill, seed),
                }
            })
            .collect();
        let truths = comers
            .iter()
            .map(|comer| Truth {
                name: comer.person.name.to_string(),
                player_id: comer.player_id.clone(),
                skill: *comer.device.skill(),
            })
            .collect();
        let list = match kind {
            SessionKind::Rehearsal => {
                (0..self.people.len()).filter(|&i| self.people[i].has_come(self.week)).map(person).collect()
            }
            _ => here.iter().map(|&i| person(i)).collect(),
        };
        let section = Name::new(larkmoor::NAME).expect("the section's name is a name");
        let mut played = play(&section, list, comers, &compile(plan))?;
        let session = InventedSession {
            session_id: self.id(began_unix_ms, &[n, 0]),
            kind,
            week: self.week,
            began_unix_ms,
            ended_us: played.ended_us as i64,
            kept: std::mem::take(&mut played.kept),
            truths,
        };
        Ok((played, session))
    }

    /// An id as every other is made, but for chance: UUID version 7 (RFC 9562).
    fn id(&self, unix_ms: i64, numbers: &[u64]) -> String {
        let mut dice = self.dice(&[&[IDS], numbers].concat());
        let mut bytes = [0; 10];
        bytes[..8].copy_from_slice(&dice.bits().to_le_bytes());
        bytes[8..].copy_from_slice(&dice.bits().to_le_bytes()[..2]);
        let millis = u64::try_from(unix_ms).unwrap_or_default();
        uuid::Builder::from_unix_timestamp_millis(millis, &bytes).into_uuid().to_string()
    }
}

/// Share of the judged time that was matched, over all that was played.
fn mean_matched(played: &Played) -> Option<f64> {
    let shares: Vec<f64> =
        played.results.runs.iter().filter_map(|run| run.section.matched).map(f64::from).collect();
    (!shares.is_empty()).then(|| shares.iter().sum::<f64>() / shares.len() as f64)
}
