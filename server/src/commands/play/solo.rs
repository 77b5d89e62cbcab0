//! `windrow play --solo`: practising alone without a server and without a browser. A room of one runs in this program, by the rules of
//! every rehearsal; the player commands it by lines typed. It must hold no rule of a rehearsal.

mod typed;

use super::stand::Stand;
use super::{PlayOptions, source};
use crate::clock::unix_ms;
use crate::commands::account::account;
use crate::commands::demo::leader::Leader;
use crate::commands::plan;
use crate::commands::practice::{HandIn, Shelf, data_dir, hand_in, minutes, write};
use crate::commands::serve::stop_signal;
use crate::plan::compile;
use crate::player::{RehearsedDevice, Seen};
use crate::practice::Practice;
use crate::room::{Kept, Lesson, VirtualRoom, hello};
use crate::store::Store;
use crate::words::english;
use anyhow::{Context, anyhow};
use std::collections::BTreeMap;
use std::io::{IsTerminal, stdin};
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::{Duration, Instant};
use tokio::time::{MissedTickBehavior, interval};
use typed::{Typed, read_lines};
use windrow_protocol::PROTOCOL_VERSION;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{ConductorSays, Flow, Hello, Moment, PlayerHears, PlayerSays, Snapshot};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::Name;

/// As long as a device's block of sound.
const STEP: Duration = Duration::from_millis(20);
/// Steps from one look of the room to the next: the fifth of a second that it has in a rehearsal.
const STEPS_PER_LOOK: u64 = 10;
/// A program that is killed loses no more.
const WRITE_EVERY: Duration = Duration::from_secs(10);
/// Longest practice, as on the page at home: an hour of breath pulses is enough for a day. Our own choice.
const LONGEST: Duration = Duration::from_secs(3600);
/// The device's number in the room.
const DEVICE: usize = 0;

/// Practises until it is ended by hand, or until the recording or the plan is over.
///
/// # Errors
/// What kept it from that, ready to be shown.
pub(super) fn run(options: &PlayOptions, choice: &str) -> anyhow::Result<ExitCode> {
    let data_dir = data_dir(options.data.clone())?;
    // Who never ran a server has no plans of their own there.
    let own_plans = Store::is_in(&data_dir).then_some(data_dir.as_path());
    let plan = plan::find(choice, own_plans, options.language)?;
    let lesson = compile(&plan);
    let shelf = Shelf::in_data(&data_dir);
    let origin_id = uuid::Uuid::now_v7().to_string();
    let path = options.keep.clone().unwrap_or_else(|| shelf.path_of(&origin_id));
    let name = options.name.clone().or_else(|| Name::new("Player").ok()).context("a name")?;
    let device = RehearsedDevice::new(source(options)?);
    let practice = Practice {
        origin_id,
        began_unix_ms: unix_ms(),
        invented: false,
        plan_title: plan.title.clone(),
        protocol_version: PROTOCOL_VERSION,
        name: name.clone(),
        instrument: options.instrument,
        a4_hz: Some(options.a4),
        kept: Vec::new(),
    };
    let is_alone = !stdin().is_terminal();
    let mut solo = Solo {
        room: VirtualRoom::new(name.clone(), options.a4).keeping(),
        device,
        stand: Stand::new(options.instrument),
        leader: is_alone.then(|| Leader::new(&lesson)),
        begun: Instant::now(),
        practice,
        runs: BTreeMap::new(),
        n_told: 0,
        path,
        written: Instant::now(),
    };
    println!(
        "{}: {} exercises. This program makes no sound: use a metronome where you want to hear the beat.",
        plan.title,
        lesson.pieces.len()
    );
    println!("Breathing drills tire: stop and breathe as usual when you feel light-headed.");
    println!("{}", typed::HELP);
    let hello = Hello { calibrated: options.calibrated, ..hello(&name, options.instrument) };
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .context("cannot start the runtime")?;
    runtime.block_on(async {
        solo.sit_down(hello, lesson)?;
        let played = solo.play().await;
        solo.end();
        played?;
        if !solo.is_worth_keeping() {
            println!("Nothing was played, so nothing is kept.");
            return Ok(ExitCode::SUCCESS);
        }
        println!("Kept: {} of practice, in {}", minutes(&solo.practice), solo.path.display());
        match &options.hand_in {
            Some(url) => {
                let what = HandIn {
                    url: url.clone(),
                    files: vec![solo.path.clone()],
                    name: options.name.clone(),
                    instrument: Some(options.instrument),
                    trust: options.trust.clone(),
                };
                hand_in(&shelf, what).await
            }
            None => {
                println!("Hand it in at the next rehearsal: windrow practice hand-in LINK");
                Ok(ExitCode::SUCCESS)
            }
        }
    })
}

/// A room of one, who sits in it, and what is kept of it.
struct Solo {
    room: VirtualRoom,
    device: RehearsedDevice,
    stand: Stand,
    /// Where nobody can type.
    leader: Option<Leader>,
    begun: Instant,
    practice: Practice,
    /// The newest telling of each run.
    runs: BTreeMap<u16, Kept>,
    /// Runs whose end has been told.
    n_told: usize,
    path: PathBuf,
    written: Instant,
}

/// What the room has against something, as an error.
fn cannot(text: Phrase) -> anyhow::Error {
    anyhow!("{}", english(&text))
}

impl Solo {
    fn sit_down(&mut self, hello: Hello, lesson: Lesson) -> anyhow::Result<()> {
        self.room.take_plan(lesson).map_err(cannot)?;
        self.room.let_in(DEVICE, hello).map_err(cannot)?;
        self.deliver()?;
        self.room.tell(DEVICE, self.device.microphone()).map_err(cannot)?;
        self.room.command(ConductorSays::SetFlow { flow: Flow::GoOn }).map_err(cannot)
    }

    async fn play(&mut self) -> anyhow::Result<()> {
        let mut lines = read_lines();
        let mut steps = interval(STEP);
        steps.set_missed_tick_behavior(MissedTickBehavior::Delay);
        let stop = stop_signal();
        tokio::pin!(stop);
        if self.leader.is_some() {
            self.say(ConductorSays::Start);
        }
        let mut n_steps = 0u64;
        loop {
            tokio::select! {
                asked = &mut stop => return asked.context("cannot wait for Ctrl-C"),
                Some(line) = lines.recv() => match Typed::read(&line) {
                    Some(Typed::Quit) => return Ok(()),
                    Some(typed) => self.obey(typed)?,
                    None => println!("{}", typed::HELP),
                },
                _ = steps.tick() => {
                    n_steps += 1;
                    self.step()?;
                    if n_steps.is_multiple_of(STEPS_PER_LOOK) {
                        self.look()?;
                    }
                    if self.begun.elapsed() > LONGEST {
                        println!("An hour is enough for one day, so it ends here.");
                        return Ok(());
                    }
                    if self.device.is_over() || self.leader.as_ref().is_some_and(|leader| leader.is_done) {
                        return Ok(());
                    }
                }
            }
        }
    }

    /// Hears the sound that has come, and lets the room know.
    fn step(&mut self) -> anyhow::Result<()> {
        self.room.now_us = self.begun.elapsed().as_secs_f64() * 1e6;
        self.deliver()?;
        for message in self.device.hear(self.room.now_us) {
            self.room.tell(DEVICE, message).map_err(cannot)?;
        }
        self.stand.show(&Seen::Now { music: self.device.music(), server_us: self.room.now_us });
        Ok(())
    }

    fn deliver(&mut self) -> anyhow::Result<()> {
        for (_, message) in self.room.take_letters() {
            match &message {
                PlayerHears::Welcome(welcome) => self.stand.show(&Seen::Exercise(&welcome.exercise)),
                PlayerHears::Exercise(brief) => self.stand.show(&Seen::Exercise(brief)),
                PlayerHears::You(you) => self.stand.show(&Seen::You(you)),
                _ => {}
            }
            self.device.take(message).context("the sound cannot be analysed")?;
        }
        Ok(())
    }

    fn look(&mut self) -> anyhow::Result<()> {
        let picture = self.room.look().map_err(cannot)?;
        if let Some(leader) = &mut self.leader {
            for command in leader.look(&picture) {
                self.say(command);
            }
        }
        self.tell_results(&picture);
        self.gather();
        if self.written.elapsed() >= WRITE_EVERY {
            self.write()?;
        }
        Ok(())
    }

    /// What came of each exercise, once it is over.
    fn tell_results(&mut self, picture: &Snapshot) {
        let results = self.room.results();
        for run in results.runs.iter().filter(|run| run.is_over).skip(self.n_told) {
            println!("{}", account(run, picture.suggestion.as_ref()));
        }
        self.n_told = results.runs.iter().filter(|run| run.is_over).count().max(self.n_told);
    }

    fn gather(&mut self) {
        for kept in self.room.take_kept() {
            match kept {
                Kept::Run(run) => drop(self.runs.insert(run.told.number, Kept::Run(run))),
                other => self.practice.kept.push(other),
            }
        }
    }

    fn is_worth_keeping(&self) -> bool {
        !self.runs.is_empty()
    }

    fn write(&mut self) -> anyhow::Result<()> {
        self.written = Instant::now();
        if !self.is_worth_keeping() {
            return Ok(());
        }
        let n_others = self.practice.kept.len();
        self.practice.kept.extend(self.runs.values().cloned());
        let done = write(&self.path, &self.practice);
        self.practice.kept.truncate(n_others);
        done
    }

    /// The last look: what was open is kept as it is.
    fn end(&mut self) {
        self.room.end();
        self.gather();
        if let Err(error) = self.write() {
            eprintln!("windrow: {error:#}");
        }
        self.practice.kept.extend(self.runs.values().cloned());
    }

    fn obey(&mut self, typed: Typed) -> anyhow::Result<()> {
        let picture = self.room.look().map_err(cannot)?;
        let is_playing = picture.score.is_some();
        match typed {
            Typed::StartOrStop if is_playing => self.say(ConductorSays::Stop { at: Moment::Bar }),
            Typed::StartOrStop => self.say(ConductorSays::Start),
            Typed::Again if is_playing => self.say(ConductorSays::Again { at: Moment::Bar }),
            Typed::Again => self.say(ConductorSays::Start),
            Typed::Next => self.say(ConductorSays::Next { at: Moment::Bar }),
            Typed::Back => self.say(ConductorSays::Back { at: Moment::Bar }),
            Typed::Faster => self.say(ConductorSays::Faster { at: Moment::Bar }),
            Typed::Slower => self.say(ConductorSays::Slower { at: Moment::Bar }),
            Typed::GoOn => self.say(ConductorSays::GoOn),
            Typed::Choose(exercise) => self.say(ConductorSays::Choose { exercise, at: Moment::Bar }),
            Typed::Rest => {
                let is_resting = picture.lanes.first().is_some_and(|lane| lane.state == State::Resting);
                self.room.tell(DEVICE, PlayerSays::Rest { resting: !is_resting }).map_err(cannot)?;
                println!("{}", if is_resting { "Playing again." } else { "Resting: take your time." });
            }
            Typed::Quit => {}
        }
        Ok(())
    }

    /// Commands, and says what the room has against it.
    fn say(&mut self, command: ConductorSays) {
        if let Err(text) = self.room.command(command) {
            println!("{}", english(&text));
        }
    }
}
