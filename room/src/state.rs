//! All rules of a rehearsal, as one pure function: an event and the time come in, effects come out. It knows only the
//! protocol: no runtime, no sockets, no database, no clock.

use super::check::Check;
use super::claims::Claim;
use super::event::{Binding, ConnectionId, Effect, Event, Kept, Person, Told};
use super::imaginary::Before;
use super::joining::kept_player;
use super::music::{Music, Tally};
use super::outcomes::Outcomes;
use super::say::{self, SayChoice, To};
use super::sayings::{self, Facts};
use super::seat::Seat;
use super::snapshot;
use super::troubles::Part;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{
    Brief, ConductorSays, DoorState, MicrophoneStatus, Notice, PlayerHears, PulseBatch, Say, Snapshot,
    SpanResult, You,
};
use windrow_protocol::metronome::Step;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::{PerBeat, Target};
use windrow_protocol::units::{Hertz, Name};

/// Chairs in a room.
pub(super) const MAX_CHAIRS: usize = 256;
/// Same words to a player are not repeated with new figures more often than this.
pub(super) const YOU_EVERY_US: f64 = 1e6;
/// A device whose batches could not be kept is asked to send them again after this time.
pub(super) const RETRY_US: f64 = 10e6;

/// A running rehearsal.
#[derive(Debug, Clone)]
pub struct Room {
    code: String,
    door: DoorState,
    pub(super) section: Name,
    pub(super) a4_hz: Hertz,
    pub(super) music: Music,
    /// The section's list, in chair order.
    pub(super) roster: Vec<Person>,
    /// Of everybody who has been in, in chair order.
    pub(super) seats: Vec<Seat>,
    /// Devices on a name that is in already.
    pub(super) claims: Vec<Claim>,
    pub(super) notices: Vec<Notice>,
    pub(super) last_notice_id: u32,
    /// What of the server fails, the gravest first.
    pub(super) troubles: Vec<(Part, Notice)>,
    /// Devices that were not asked for what was not kept are to be asked.
    pub(super) had_trouble: bool,
    say: SayChoice,
    /// What the conductor should say now.
    said: Option<Say>,
    /// What everybody was told to be practised.
    told_brief: Option<Brief>,
    pub(super) check: Check,
    pub(super) outcomes: Outcomes,
    /// How things were before the imaginary section came, while it is here.
    pub(super) before_imaginary: Option<Box<Before>>,
}

impl Room {
    /// An empty one.
    pub fn new(code: String, section: Name, a4_hz: Hertz) -> Self {
        Self {
            code,
            door: DoorState::Open,
            section,
            a4_hz,
            music: Music::new(),
            roster: Vec::new(),
            seats: Vec::new(),
            claims: Vec::new(),
            notices: Vec::new(),
            last_notice_id: 0,
            troubles: Vec::new(),
            had_trouble: false,
            say: SayChoice::default(),
            said: None,
            told_brief: None,
            check: Check::default(),
            outcomes: Outcomes::default(),
            before_imaginary: None,
        }
    }

    pub(super) fn door(&self) -> DoorState {
        self.door
    }

    pub(super) fn code(&self) -> &str {
        &self.code
    }

    pub(super) fn section(&self) -> &str {
        self.section.as_str()
    }

    pub(super) fn music(&self) -> &Music {
        &self.music
    }

    pub(super) fn seats(&self) -> &[Seat] {
        &self.seats
    }

    pub(super) fn check(&self) -> &Check {
        &self.check
    }

    /// Real players whose devices are connected.
    pub fn n_present(&self) -> usize {
        self.seats.iter().filter(|s| s.connection.is_some() && !s.is_imaginary).count()
    }

    /// Whether the device with this token has a chair, connected or not.
    pub fn knows_device(&self, token: &str) -> bool {
        self.seats.iter().any(|seat| seat.token == token)
    }

    /// Takes in what happened and says what to do about it.
    pub fn apply(&mut self, event: Event, now_us: f64) -> Vec<Effect> {
        let mut effects = Vec::new();
        match event {
            Event::Joined(joining) => {
                self.come_in(*joining, now_us, &mut effects);
                self.publish(now_us, &mut effects);
            }
            Event::Left { connection } => {
                let is_seated = self.seat_of(connection).map(|seat| seat.get_up(now_us)).is_some();
                let n_claims = self.claims.len();
                self.forget_connection(connection, &mut effects);
                if is_seated || self.claims.len() != n_claims {
                    self.publish(now_us, &mut effects);
                }
            }
            Event::Door { code, state } => {
                self.code = code;
                self.door = state;
                self.publish(now_us, &mut effects);
            }
            Event::Told { connection, what } => self.hear(connection, what, now_us, &mut effects),
            Event::Commanded(command) => {
                self.pass(now_us, &mut effects);
                if let Err(text) = self.command(command, now_us, &mut effects) {
                    effects.push(Effect::CannotDo { text });
                }
                self.publish(now_us, &mut effects);
            }
            Event::Plan(lesson) => {
                self.pass(now_us, &mut effects);
                let (title, text) = (lesson.title.clone(), lesson.text.clone());
                match self.music.take_plan(*lesson, now_us) {
                    Ok(()) => {
                        self.begin_from_here();
                        effects.push(Effect::Keep(Kept::Plan { taken_us: now_us, title, text }));
                    }
                    Err(text) => effects.push(Effect::CannotDo { text }),
                }
                self.publish(now_us, &mut effects);
            }
            Event::Lent(lesson) => {
                if let Err(text) = self.lend(*lesson, now_us) {
                    effects.push(Effect::CannotDo { text });
                }
                self.publish(now_us, &mut effects);
            }
            Event::Roster(change) => {
                if let Err(text) = self.change_roster(change, now_us, &mut effects) {
                    effects.push(Effect::CannotDo { text });
                }
                self.publish(now_us, &mut effects);
            }
            Event::Trouble { part, text } => {
                self.take_trouble(part, text);
                self.publish(now_us, &mut effects);
            }
            Event::Passed { text } => {
                self.tell_conductor(text);
                self.publish(now_us, &mut effects);
            }
            Event::SentAway => {
                self.send_imaginary_away(now_us, &mut effects);
                self.publish(now_us, &mut effects);
            }
            Event::Stored { player_id, seq } => self.stored(&player_id, seq, &mut effects),
            Event::NotStored { player_id } => self.not_stored(&player_id, now_us, &mut effects),
            Event::Tick => {
                self.pass(now_us, &mut effects);
                self.ask_again(now_us, &mut effects);
                self.publish(now_us, &mut effects);
            }
        }
        self.keep_nothing_imaginary(&mut effects);
        effects
    }

    fn seat_of(&mut self, connection: ConnectionId) -> Option<&mut Seat> {
        self.seats.iter_mut().find(|s| s.connection == Some(connection))
    }

    fn hear(&mut self, connection: ConnectionId, what: Told, now_us: f64, effects: &mut Vec<Effect>) {
        let Some(seat) = self.seats.iter_mut().find(|s| s.connection == Some(connection)) else { return };
        match what {
            Told::Reading(reading) => {
                let is_turned = seat.gain_control_on || reading.capture.is_some_and(|c| c.gain_riding);
                let (time_us, level_db) = (reading.time_us.get(), reading.level_db.get());
                self.check.take(&seat.player_id, time_us, level_db, is_turned);
                seat.take_reading((*reading).clone(), now_us);
                let is_trusted = seat.trusted_reading(now_us).is_some();
                self.outcomes.runs.take_reading(&seat.player_id, &reading, is_trusted);
            }
            Told::Microphone(report) => {
                seat.take_microphone(&report);
                // The next one may be another.
                if report.status == MicrophoneStatus::Lost {
                    self.check.forget(&seat.player_id);
                }
            }
            Told::Check(check) => seat.take_check(check),
            Told::Way { over_line } => seat.over_line = over_line,
            Told::Quiet { is_quiet } => {
                seat.is_quiet = is_quiet;
                self.publish(now_us, effects);
            }
            Told::Timing { calibrated } => {
                if seat.take_timing(calibrated) {
                    effects.push(Effect::Keep(kept_player(seat, Binding::Person)));
                    self.publish(now_us, effects);
                }
            }
            Told::Rest { resting } => {
                seat.resting = resting;
                self.publish(now_us, effects);
            }
            Told::Pulses(PulseBatch { seq, pulses }) => {
                seat.take_pulses(&pulses, now_us);
                if accept(seat, connection, seq, effects) {
                    let player_id = seat.player_id.clone();
                    self.outcomes.runs.take_pulses(&player_id, &pulses);
                    effects.push(Effect::Keep(Kept::Pulses { player_id, seq, pulses }));
                }
            }
            Told::SpanResult(result) => {
                if accept(seat, connection, result.seq, effects) {
                    let (player_id, state) = (seat.player_id.clone(), seat.state());
                    self.outcomes.runs.take_span(&player_id, &result);
                    effects.push(Effect::Keep(Kept::Span { player_id, result: keepable(result), state }));
                }
            }
        }
    }

    pub(super) fn command(
        &mut self,
        command: ConductorSays,
        now_us: f64,
        effects: &mut Vec<Effect>,
    ) -> Result<(), Phrase> {
        self.mind_the_check(&command, now_us)?;
        let music = &mut self.music;
        let changed = match command {
            // Answered by whoever speaks with the page.
            ConductorSays::Clock(_) | ConductorSays::Changes => false,
            ConductorSays::Start => music.start(now_us)?,
            ConductorSays::Stop { at } => music.stop(at, now_us)?,
            ConductorSays::GoOn => music.go_on(now_us)?,
            ConductorSays::Again { at } => music.again(at, now_us)?,
            ConductorSays::Next { at } => music.move_by(1, at, now_us)?,
            ConductorSays::Back { at } => music.move_by(-1, at, now_us)?,
            ConductorSays::Hold => music.hold(now_us)?,
            ConductorSays::Slower { at } => music.step(Step::Slower, at, now_us)?,
            ConductorSays::Faster { at } => music.step(Step::Faster, at, now_us)?,
            ConductorSays::SetTempo { bpm, at } => music.set_tempo(bpm, at, now_us)?,
            ConductorSays::SetSubdivision { per_beat: 0, at } => music.set_per_beat(None, at, now_us)?,
            ConductorSays::SetSubdivision { per_beat, at } => {
                music.set_per_beat(Some(PerBeat::new(per_beat)?), at, now_us)?
            }
            ConductorSays::SetCountIn { bars } => music.set_count_in(bars)?,
            ConductorSays::SetNote { note, chair } => music.set_note(note, chair)?,
            ConductorSays::SetVoicing { voicing } => music.set_voicing(voicing)?,
            ConductorSays::SetTurns { turns } => music.set_turns(turns)?,
            ConductorSays::SetTuning { tuning } => music.set_tuning(tuning)?,
            ConductorSays::SetFlow { flow } => music.set_flow(flow)?,
            ConductorSays::Choose { exercise, at } => music.choose(exercise, at, now_us)?,
            ConductorSays::StepBack => music.step_back(now_us)?,
            ConductorSays::SetTick { from } => music.set_tick(from)?,
            ConductorSays::CheckRoom { chairs } => self.begin_check(&chairs, now_us)?,
            ConductorSays::Answer { notice, answer } => {
                self.answer(notice, answer, effects)?;
                false
            }
        };
        self.end_check_without_music(now_us, effects);
        if changed {
            self.tell_score(effects);
        }
        Ok(())
    }

    fn pass(&mut self, now_us: f64, effects: &mut Vec<Effect>) {
        let present = || self.seats.iter().filter(|s| s.connection.is_some());
        let chairs: Vec<(u16, Instrument)> = present().map(|s| (s.chair, s.instrument)).collect();
        let line = present().filter(|s| !s.resting).map(|s| s.chair).collect();
        self.music.seat(chairs, line);
        let section = Tally::of(present().filter(|s| !s.resting).map(Seat::state));
        if self.music.pass(section, now_us) {
            self.tell_score(effects);
        }
        if self.check.pass(now_us) {
            self.show_check(effects);
            if !self.check.is_running() {
                self.keep_check(now_us, effects);
            }
        }
    }

    /// Tells everybody what is being practised, once it is something else.
    fn tell_exercise(&mut self, effects: &mut Vec<Effect>) {
        let brief = self.music.brief();
        if self.told_brief.as_ref() == Some(&brief) {
            return;
        }
        self.told_brief = Some(brief.clone());
        let connections = self.seats.iter().filter(|s| !s.welcome_due).filter_map(|s| s.connection).collect();
        effects.push(Effect::SendAll { connections, message: PlayerHears::Exercise(brief) });
    }

    /// Tells everybody what is played now.
    pub(super) fn tell_score(&self, effects: &mut Vec<Effect>) {
        let score = self.music.score().cloned();
        effects.extend(score.clone().map(|score| Effect::Keep(Kept::Score { score })));
        // Whoever waits for a welcome gets the score with it.
        let connections = self.seats.iter().filter(|s| !s.welcome_due).filter_map(|s| s.connection).collect();
        effects.push(Effect::SendAll { connections, message: PlayerHears::Score { score } });
    }

    fn stored(&mut self, player_id: &str, seq: u32, effects: &mut Vec<Effect>) {
        let Some(idx) = self.seats.iter().position(|s| s.player_id == player_id) else { return };
        let seat = &mut self.seats[idx];
        seat.n_on_the_way = seat.n_on_the_way.saturating_sub(1);
        // After one that was lost, later ones are not acknowledged: "up to this number" would be a lie.
        if seat.unkept_since_us.is_none() {
            seat.acknowledged_seq = seat.acknowledged_seq.max(seq);
            if let (Some(connection), false) = (seat.connection, seat.welcome_due) {
                let message = PlayerHears::Ack { seq: seat.acknowledged_seq };
                effects.push(Effect::Send { connection, message });
            }
        }
        self.welcome_when_clear(player_id, effects);
    }

    fn not_stored(&mut self, player_id: &str, now_us: f64, effects: &mut Vec<Effect>) {
        let Some(idx) = self.seats.iter().position(|s| s.player_id == player_id) else { return };
        let seat = &mut self.seats[idx];
        seat.n_on_the_way = seat.n_on_the_way.saturating_sub(1);
        seat.unkept_since_us.get_or_insert(now_us);
        self.welcome_when_clear(player_id, effects);
    }

    /// The room as the conductor's page draws it. It is made when somebody looks, since most of it is copies.
    #[must_use]
    pub fn picture(&self, now_us: f64) -> Snapshot {
        snapshot::snapshot(self, self.said.clone(), now_us)
    }

    /// Looks at everybody: states, words to the players, the say line; there is another picture for the conductor.
    fn publish(&mut self, now_us: f64, effects: &mut Vec<Effect>) {
        self.tell_exercise(effects);
        self.mark_covered(now_us);
        let is_check = self.music.is_check(now_us);
        let (now_of_all, turn) = (self.music.now(now_us), self.music.turn(now_us));
        for seat in &mut self.seats {
            let now = now_of_all.of_chair(seat.chair, turn);
            let state = seat.look(&now, self.music.timeline(), now_us);
            let facts = snapshot::facts(seat, &self.music, now_us);
            let Some(connection) = seat.connection.filter(|_| !seat.welcome_due) else { continue };
            let you = You {
                state,
                evidence: sayings::evidence(state, now.asked.target, &facts),
                sentence: said_by_id(match (is_check, now.waits) {
                    (true, _) => sayings::in_a_check(now.asked.target == Target::Straight),
                    (false, true) => sayings::WAITING,
                    (false, false) if now.rests && !seat.resting => sayings::RESTING,
                    (false, false) => sayings::for_player(state, now.asked.target, &facts),
                }),
                left_out_ms: seat.left_out_ms().round(),
                timing_ms: seat.timing_ms.filter(|_| seat.calibrated),
            };
            let same_words =
                seat.told.as_ref().is_some_and(|t| t.state == you.state && t.sentence == you.sentence);
            let due =
                !same_words || (seat.told.as_ref() != Some(&you) && now_us - seat.told_us >= YOU_EVERY_US);
            if due {
                seat.told = Some(you.clone());
                seat.told_us = now_us;
                effects.push(Effect::Send { connection, message: PlayerHears::You(you) });
            }
        }
        self.keep_account(now_us);
        self.keep_runs(now_us, effects);
        let now = now_of_all;
        self.said =
            self.choose_say(now.asked.target, now.beat_us, now.since_us.is_some() && !is_check, now_us);
        effects.push(Effect::Publish);
    }

    /// What the conductor should say now, and to whom.
    fn choose_say(&mut self, target: Target, beat_us: f64, playing: bool, now_us: f64) -> Option<Say> {
        if !playing {
            self.say.rest();
            return None;
        }
        let heard = self.seats.iter().map(|seat| say::Heard {
            player_id: &seat.player_id,
            instrument: seat.instrument,
            state: seat.state(),
        });
        let heard: Vec<_> = heard.collect();
        let said = self.say.choose(&heard, beat_us, now_us)?;
        let (player_id, also) = said.player_ids.split_first()?;
        let seat = self.seats.iter().find(|s| s.player_id == *player_id)?;
        let (name, facts) = match said.to {
            To::One => (seat.name.as_str().into(), snapshot::facts(seat, &self.music, now_us)),
            // How far each of several is off is not one figure.
            To::Instrument(instrument) => {
                (Phrase::of(&format!("players-{}", instrument.slug())), Facts::default())
            }
            To::Everyone => (Phrase::of("say-everyone"), Facts::default()),
        };
        let text = sayings::for_conductor(said.state, name, target, &facts)?;
        Some(Say { player_id: player_id.clone(), also: also.to_vec(), text })
    }
}

/// The text of that id; nothing where there is none to say.
fn said_by_id(id: &str) -> Phrase {
    if id.is_empty() { Phrase::default() } else { Phrase::of(id) }
}

/// Whether a numbered message is new and goes to the records. One that is already safe is acknowledged again, one that
/// is on its way will be.
fn accept(seat: &mut Seat, connection: ConnectionId, seq: u32, effects: &mut Vec<Effect>) -> bool {
    if seq <= seat.acknowledged_seq {
        let message = PlayerHears::Ack { seq: seat.acknowledged_seq };
        effects.push(Effect::Send { connection, message });
        return false;
    }
    if seq <= seat.accepted_seq || seat.unkept_since_us.is_some() || seat.welcome_due {
        return false;
    }
    seat.accepted_seq = seq;
    seat.n_on_the_way += 1;
    true
}

/// Timing is the one measure without a checked range: an hour off or not a number says nothing.
fn keepable(mut result: Box<SpanResult>) -> Box<SpanResult> {
    result.timing_ms = result.timing_ms.filter(|ms| ms.abs() < 3.6e6);
    result
}
