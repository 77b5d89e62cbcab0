//! Whom the conductor should speak to, and of which state: one player, those of one instrument, or everybody. Pure; knows no
//! seats, no words and no clock.

use super::sayings::urgency;
use std::collections::BTreeMap;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;

/// A line stands so long at most, then it is another's turn: four bars of four. Our own choice.
const STANDS_BEATS: f64 = 16.0;
/// A fault that is not yet a bar old waits where there is an older one; it may pass by itself. Our own choice.
const SETTLED_BEATS: f64 = 4.0;
/// Whoever was spoken to in the last sixteen bars comes after all others, and of these the longest ago first, so that one
/// player is not called again and again. Our own choice.
const AGAIN_BEATS: f64 = 64.0;
/// Of so few players each is spoken to by name.
const FEWEST_OF_ALL: usize = 4;

/// A player as far as it matters here.
#[derive(Debug, Clone, Copy)]
pub(super) struct Heard<'a> {
    pub(super) player_id: &'a str,
    pub(super) instrument: Instrument,
    pub(super) state: State,
}

/// To whom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum To {
    One,
    /// All who play it and can be judged have the fault.
    Instrument(Instrument),
    /// Half of those who can be judged have it.
    Everyone,
}

/// What is to be said now.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Said {
    pub(super) to: To,
    pub(super) state: State,
    /// Who has that fault, in chair order; never empty.
    pub(super) player_ids: Vec<String>,
    since_us: f64,
}

/// Chooses, and remembers who was spoken to and how long faults have lasted.
#[derive(Debug, Clone, Default)]
pub(super) struct SayChoice {
    said: Option<Said>,
    /// Since when each is in the present state.
    since: BTreeMap<String, (State, f64)>,
    /// When each was last spoken to.
    spoken_us: BTreeMap<String, f64>,
}

impl SayChoice {
    /// Nothing is to be said, as without music; who was spoken to stays known.
    pub(super) fn rest(&mut self) {
        self.said = None;
        self.since.clear();
    }

    /// The same as before while that stands, else another.
    pub(super) fn choose(&mut self, heard: &[Heard<'_>], beat_us: f64, now_us: f64) -> Option<&Said> {
        self.since.retain(|id, _| heard.iter().any(|h| h.player_id == id));
        self.spoken_us.retain(|id, _| heard.iter().any(|h| h.player_id == id));
        for h in heard {
            let known = self.since.entry(h.player_id.to_owned()).or_insert((h.state, now_us));
            if known.0 != h.state {
                *known = (h.state, now_us);
            }
        }
        let groups = groups_of(heard);
        let stands = self.said.as_ref().is_some_and(|said| {
            let is_there = groups.iter().any(|group| {
                group.state == said.state
                    && group.to == said.to
                    && (said.to != To::One || group.ids == said.player_ids)
            });
            is_there && now_us - said.since_us < STANDS_BEATS * beat_us
        });
        if !stands {
            self.said = groups
                .into_iter()
                .map(|group| (self.rank(&group, beat_us, now_us), group))
                .min_by(|(a, _), (b, _)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2)))
                .map(|(_, group)| Said {
                    to: group.to,
                    state: group.state,
                    player_ids: group.ids.iter().map(|&id| id.to_owned()).collect(),
                    since_us: now_us,
                });
            for id in self.said.iter().flat_map(|said| &said.player_ids) {
                self.spoken_us.insert(id.clone(), now_us);
            }
        }
        self.said.as_ref()
    }

    /// Smaller is sooner: not spoken to lately, no passing fault, to more of them, the more urgent; then whoever has waited
    /// longest, then the oldest fault. Equal ones come in chair order.
    fn rank(&self, group: &Group<'_>, beat_us: f64, now_us: f64) -> ((bool, bool, u8, u8), f64, f64) {
        let ids = || group.ids.iter().copied();
        let last_us =
            ids().filter_map(|id| self.spoken_us.get(id)).copied().fold(f64::NEG_INFINITY, f64::max);
        let oldest_us = ids().filter_map(|id| self.since.get(id)).map(|s| s.1).fold(f64::INFINITY, f64::min);
        // A group of whom one was left out so far has not been spoken to.
        let all_lately =
            ids().all(|id| self.spoken_us.get(id).is_some_and(|&us| now_us - us < AGAIN_BEATS * beat_us));
        let is_passing = now_us - oldest_us < SETTLED_BEATS * beat_us;
        let (few, urgency) = match group.to {
            _ if all_lately => (0, 0),
            To::Everyone => (0, group.urgency),
            To::Instrument(_) | To::One => (1, group.urgency),
        };
        ((all_lately, is_passing, few, urgency), last_us, oldest_us)
    }
}

/// Players with one fault to whom one thing can be said.
#[derive(Debug, Clone)]
struct Group<'a> {
    to: To,
    state: State,
    urgency: u8,
    ids: Vec<&'a str>,
}

/// Everybody's, then the instruments', then the single players' faults; a player is in one of them alone.
fn groups_of<'a>(heard: &[Heard<'a>]) -> Vec<Group<'a>> {
    let judged: Vec<_> =
        heard.iter().filter(|h| h.state == State::Matched || urgency(h.state).is_some()).collect();
    let mut groups: Vec<Group<'a>> = Vec::new();
    for h in &judged {
        let Some(urgency) = urgency(h.state) else { continue };
        let with_it = |among: &dyn Fn(&Heard<'_>) -> bool| -> Vec<&'a str> {
            judged.iter().filter(|o| o.state == h.state && among(o)).map(|o| o.player_id).collect()
        };
        let all = with_it(&|_| true);
        let same = with_it(&|o| o.instrument == h.instrument);
        let n_same = judged.iter().filter(|o| o.instrument == h.instrument).count();
        let (to, ids) = if judged.len() >= FEWEST_OF_ALL && 2 * all.len() >= judged.len() {
            (To::Everyone, all)
        } else if n_same >= 2 && same.len() == n_same {
            (To::Instrument(h.instrument), same)
        } else {
            (To::One, vec![h.player_id])
        };
        if !groups.iter().any(|group| group.to == to && group.ids == ids) {
            groups.push(Group { to, state: h.state, urgency, ids });
        }
    }
    groups
}
